/* <file-drop> round a form with one file field.
   Without it: the field and its button. With it: files can be dropped on the form, those chosen are listed with their sizes
   and can be left out again, and sending shows how far it is. Keys and pattern: those of the native field and buttons. */
import { refuse, saysOf } from "./speech.js";
import { filesSay, fileSize, percentSays, refusalSays } from "./words.js";

class FileDrop extends HTMLElement {
  connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.form = this.querySelector("form");
    this.field = this.querySelector('input[type="file"]');
    const on = (type, does) => this.form.addEventListener(type, does, { signal });

    on("dragover", (event) => { event.preventDefault(); this.form.classList.add("drop-over"); });
    on("dragleave", (event) => { if (!this.form.contains(event.relatedTarget)) this.form.classList.remove("drop-over"); });
    on("drop", (event) => {
      event.preventDefault();
      this.form.classList.remove("drop-over");
      const dropped = [...event.dataTransfer.files];
      this.take(this.field.multiple ? [...this.field.files, ...dropped] : dropped.slice(0, 1));
    });
    on("change", (event) => { if (event.target === this.field) this.list(); });
    on("submit", (event) => { if (!this.form.hasAttribute("hx-post")) { event.preventDefault(); this.send(); } });
    on("htmx:beforeRequest", () => this.working(true));
    on("htmx:xhr:progress", (event) => { if (event.detail.lengthComputable) this.progress(event.detail); });
    on("htmx:afterRequest", () => this.working(false));
  }

  disconnectedCallback() { this.off.abort(); }

  part(name) { return this.querySelector(`[data-${name}]`); }

  take(files) {
    const kept = new DataTransfer();
    for (const file of files) kept.items.add(file);
    this.field.files = kept.files;
    this.list();
  }

  list() {
    const files = [...this.field.files];
    const rows = files.map((file, at) => {
      const row = document.createElement("li");
      const name = document.createElement("span");
      name.textContent = file.name;
      const end = document.createElement("span");
      end.className = "row";
      const size = document.createElement("span");
      size.className = "measure";
      size.textContent = fileSize(file.size);
      const out = document.createElement("button");
      out.type = "button";
      out.className = "button button-plain small";
      out.textContent = "leave out";
      out.setAttribute("aria-label", `Leave out ${file.name}`);
      out.addEventListener("click", () => { this.take(files.filter((_, other) => other !== at)); this.field.focus(); });
      end.append(size, out);
      row.append(name, end);
      return row;
    });
    this.part("list").replaceChildren(...rows);
    this.part("list").hidden = rows.length === 0;
    this.part("says").textContent = rows.length ? filesSay(files.map((file) => file.size)) : "";
  }

  working(on) {
    this.part("progress").hidden = !on;
    this.part("progress").value = 0;
    this.part("send").disabled = on;
    if (!on) this.part("says").textContent = "";
  }

  progress({ loaded, total }) {
    const share = (100 * loaded) / total;
    this.part("progress").value = share;
    // Spoken twice, not at each step: while it goes, and when it has arrived.
    const says = share < 100 ? "Sending." : "Sent. The portal is looking at it.";
    if (this.part("says").textContent !== says) this.part("says").textContent = says;
    this.part("progress").setAttribute("aria-valuetext", percentSays(share));
  }

  /* Without htmx: the same form, sent with progress; then the page that answers, or this page with its errors. */
  send() {
    const xhr = new XMLHttpRequest();
    xhr.open("POST", this.form.action);
    xhr.upload.addEventListener("progress", (event) => { if (event.lengthComputable) this.progress(event); });
    xhr.addEventListener("error", () => { this.working(false); refuse(refusalSays(0)); });
    xhr.addEventListener("load", () => {
      if (xhr.status < 300 && xhr.responseURL !== this.form.action) return location.assign(xhr.responseURL);
      if (xhr.status >= 300 && xhr.status !== 422) { this.working(false); return refuse(saysOf(xhr.status, xhr.responseText)); }
      const main = new DOMParser().parseFromString(xhr.responseText, "text/html").querySelector("main");
      document.querySelector("main").replaceWith(main);
      window.htmx?.process(main);
      main.querySelector(".form-errors, .field-errors")?.scrollIntoView({ block: "center" });
    });
    this.working(true);
    xhr.send(new FormData(this.form));
  }
}

customElements.define("file-drop", FileDrop);
