/* <pivot-form> round the form for a change on set.
   Without it: the same form, posted. With it: the photo is made smaller, and what is sent is first kept on this phone and
   let go only once the portal has answered that it has it; so it may be written without a network. What is half written
   is kept too, for taking a photo may close the page. Keys and pattern: those of the native fields and buttons. */
import { keptList } from "./pivot-list.js";
import { smaller } from "./pivot-photo.js";
import { send } from "./pivot-sending.js";
import { keepShell } from "./pivot-shell.js";
import * as store from "./pivot-store.js";
import { missing, pause, sorted, standingSays, tokenOf } from "./pivot-words.js";

const NOW_AND_THEN_MS = 500;
const DOUBLE_TAP_MS = 800;

class PivotForm extends HTMLElement {
  async connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.form = this.querySelector("[data-form]");
    this.state = navigator.onLine ? "" : "no network";
    this.tries = 0;
    this.keeps = true;
    this.deafUntil = 0;
    this.photo = null;
    // A page that was kept carries an old token; each entry has one of its own.
    this.sentAs = newToken();
    this.begunAt = Date.now();
    const again = () => { this.tries = 0; this.flush(); };
    window.addEventListener("online", again, { signal });
    window.addEventListener("offline", () => this.tell("no network"), { signal });
    document.addEventListener("visibilitychange", () => { if (!document.hidden) again(); }, { signal });
    if (this.form) this.listen(signal);
    await this.restore();
    await this.flush();
    const opens = await keepShell(this.dataset.here);
    this.part("shell").textContent = opens
      ? "This page opens without a network too. Signing out removes it from this phone; what waits to be sent stays."
      : "This browser opens the page only with a network (it keeps pages of secure addresses, https, alone). Leave it open: what you send waits here until the network is back.";
  }

  disconnectedCallback() {
    this.off.abort();
    clearTimeout(this.timer);
    clearTimeout(this.soon);
  }

  part(name) { return this.querySelector(`[data-${name}]`); }

  field(name) { return this.form.elements[name]; }

  listen(signal) {
    this.form.addEventListener("submit", (event) => { event.preventDefault(); this.submit(); }, { signal });
    this.field("photo").addEventListener("change", () => { this.taking = this.take(); }, { signal });
    this.form.addEventListener("change", (event) => { if (event.target.name === "agrees") this.isHere(event.target.value); }, { signal });
    this.form.addEventListener("input", () => { clearTimeout(this.soon); this.soon = setTimeout(() => this.keepDraft(), NOW_AND_THEN_MS); }, { signal });
  }

  /* Who agrees is here, also in the place of somebody who is not: "theirs/the other's". */
  isHere(chosen) {
    const [key] = chosen.split("/");
    const box = [...this.form.querySelectorAll('[name="present"]')].find((one) => one.value === key);
    if (box) box.checked = true;
  }

  async take() {
    const [file] = this.field("photo").files;
    if (!file) return;
    this.show(await smaller(file));
    await this.keepDraft();
  }

  show(photo) {
    this.photo = photo;
    const picture = this.part("picture");
    if (picture.src) URL.revokeObjectURL(picture.src);
    picture.hidden = !photo;
    if (photo) picture.src = URL.createObjectURL(photo);
    else picture.removeAttribute("src");
    this.part("take").textContent = photo ? "Take another photo" : "Take a photo";
    this.wrong([]);
  }

  entry(state) {
    const told = new FormData(this.form);
    const text = (name) => told.get(name) ?? "";
    return {
      sentAs: this.sentAs, account: this.dataset.account, campaign: this.dataset.campaign, begunAt: this.begunAt, state,
      what: text("what"), present: told.getAll("present"), others: text("others"), agrees: text("agrees"),
      shot: text("shot"), about: text("about"), photo: this.photo, withoutPhoto: told.has("without_photo"),
      happenedAt: new Date().toISOString(), says: "",
    };
  }

  keepDraft() { return store.put(this.entry("draft")).catch(() => {}); }

  async restore() {
    const { draft } = await this.kept();
    if (draft && this.form) this.write(draft);
  }

  write(entry) {
    this.sentAs = entry.sentAs;
    this.begunAt = entry.begunAt;
    for (const name of ["what", "others", "shot", "about"]) this.field(name).value = entry[name];
    for (const box of this.form.querySelectorAll('[name="present"]')) box.checked = entry.present.includes(box.value);
    for (const one of this.form.querySelectorAll('[name="agrees"]')) one.checked = one.value === entry.agrees;
    this.field("without_photo").checked = entry.withoutPhoto;
    this.part("without").hidden = !entry.withoutPhoto;
    if (entry.others) this.querySelector("details").open = true;
    this.show(entry.photo);
  }

  async submit() {
    // The second half of a double tap finds the form as it is after the first.
    if (performance.now() < this.deafUntil) return;
    await this.taking;
    clearTimeout(this.soon);
    const entry = this.entry("waiting");
    const wrong = missing(entry);
    this.wrong(wrong);
    if (wrong.length) return;
    this.deafUntil = performance.now() + DOUBLE_TAP_MS;
    try {
      await store.put(entry);
      this.keeps = true;
    } catch {
      // No store on this phone (a private window, or no room): it goes at once or stays in the form.
      this.keeps = false;
      this.after(entry, await send(entry, this.ways()), true);
      return;
    }
    navigator.storage?.persist?.().catch(() => {});
    this.anew();
    await this.flush();
  }

  /* The form for the next entry: who is here and which shot it is stay as they were. */
  anew() {
    this.sentAs = newToken();
    this.begunAt = Date.now();
    this.field("what").value = "";
    this.field("photo").value = "";
    this.field("without_photo").checked = false;
    this.part("without").hidden = true;
    for (const one of this.form.querySelectorAll('[name="agrees"]')) one.checked = false;
    this.show(null);
    this.keepDraft();
  }

  wrong(found) {
    for (const line of this.querySelectorAll("[data-wrong]")) {
      const says = found.find(([name]) => name === line.dataset.wrong)?.[1] ?? "";
      line.textContent = says;
      line.hidden = !says;
      line.closest(".field").classList.toggle("field-wrong", Boolean(says));
    }
    if (!found.length) return;
    if (found[0][0] === "photo") this.part("without").hidden = false;
    const first = this.field(found[0][0]);
    (first instanceof RadioNodeList ? first[0] : first).focus();
  }

  ways() { return { post: this.dataset.here, ready: this.dataset.ready }; }

  async kept() {
    const entries = await store.all().catch(() => { this.keeps = false; return []; });
    return sorted(entries, this.dataset);
  }

  /* Send what waits, one after the other; of two pages that are open only one sends. */
  async flush() {
    clearTimeout(this.timer);
    if (this.sending) { this.again = true; return; }
    this.sending = true;
    const work = () => this.sendAll();
    await (navigator.locks ? navigator.locks.request("brieflock-on-set", work) : work()).catch(() => {});
    this.sending = false;
    await this.tell();
    if (this.again) { this.again = false; await this.flush(); }
  }

  async sendAll() {
    const { waiting } = await this.kept();
    if (waiting.length) await this.tell("sending");
    else if (this.state === "no network" && navigator.onLine) this.state = "";
    for (const entry of waiting) {
      if (!(await this.after(entry, await send(entry, this.ways())))) return;
    }
    if (this.state === "sending") this.state = "";
  }

  /* What an answer does to an entry; whether the next may go too. */
  async after(entry, { end, says = "", url = "" }, alone = false) {
    this.state = ["recorded", "refused", "later"].includes(end) ? "" : end;
    this.recorded = end === "recorded" ? { says, url } : null;
    if (alone) {
      if (end === "recorded") this.anew();
      await this.tell();
      if (end === "refused") this.part("stands").textContent = says;
    } else if (end === "recorded") await store.remove(entry.sentAs);
    else if (end === "refused") await store.put({ ...entry, state: "refused", says });
    else this.timer = setTimeout(() => this.flush(), pause((this.tries += 1)));
    return end === "recorded" || end === "refused";
  }

  async tell(state = this.state) {
    this.state = state;
    const { waiting, refused, others } = await this.kept();
    const says = standingSays({ waiting: waiting.length, refused: refused.length, others, state, keeps: this.keeps });
    const line = this.part("stands");
    line.replaceChildren();
    if (this.recorded && !waiting.length) {
      line.append(this.recorded.says, " ", link(this.recorded.url, "See it"), says ? " " : "");
    }
    line.append(says);
    if (state === "signed out") line.append(" ", link(this.dataset.signIn, "Sign in"));
    this.part("kept").hidden = !(waiting.length || refused.length);
    this.part("list").replaceChildren(...keptList([...refused, ...waiting], this));
  }

  /* ---- what can be done with an entry that is kept */

  async sendAgain(entry) {
    await store.put({ ...entry, state: "waiting", says: "" });
    this.tries = 0;
    await this.flush();
  }

  async mend(entry) {
    const now = this.entry("draft");
    if (now.what.trim() || now.photo) {
      this.part("stands").textContent = "Send what is in the form first: it would be written over.";
      return;
    }
    await store.remove(now.sentAs);
    await store.put({ ...entry, state: "draft" });
    this.write(entry);
    await this.tell();
    this.field("what").focus();
  }

  async throwAway(entry) {
    if (!confirm("Throw this away? It is nowhere else.")) return;
    await store.remove(entry.sentAs);
    await this.tell();
    this.part("stands").focus();
  }
}

function newToken() { return tokenOf(crypto.getRandomValues(new Uint8Array(16))); }

function link(url, words) {
  const made = document.createElement("a");
  made.href = url;
  made.textContent = words;
  return made;
}

customElements.define("pivot-form", PivotForm);
