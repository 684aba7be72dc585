/* <picture-stage>: a picture under its layout.
   Without it: the composed preview with its marks, links to the bare picture and to the layout, and the street above as the
   way between placements.
   Keys while the stage has the focus: [ and ] or left and right flip between placements; pixel for pixel, the arrows move the
   picture; Escape leaves a look or a place that was asked for. Patterns: slider (native range, and the line), toggle buttons. */
import { pointIn } from "./geometry.js";
import { makeLine } from "./stage-line.js";
import { makePixels } from "./stage-pixels.js";
import { makeProof } from "./stage-proof.js";
import { neighbour, percentSays } from "./words.js";

const SAYS = {
  over: "", bare: "This is the picture without its layout.",
  line: "Left of the line the picture is bare, right of it the layout lies over. Drag the line, or move it with the arrow keys.",
  pixels: "One pixel of the picture is one pixel of this screen. Drag it, or move it with the arrow keys.",
};
const KEPT = "brieflock.stage";

class PictureStage extends HTMLElement {
  connectedCallback() {
    this.off = new AbortController();
    this.frame = this.querySelector("[data-frame]");
    this.look = "over";
    this.share = Number(this.dataset.share ?? 100);
    const { width, height } = this.dataset;
    this.style.setProperty("--ratio", String(width / height));
    this.classList.add("stage-sized");
    this.frame.tabIndex = 0;
    this.frame.setAttribute("role", "group");
    this.makeLayers();
    this.pixels = makePixels(this.frame, {
      source: this.querySelector(".stage-preview").src, template: this.dataset.detail,
      full: { width: Number(this.dataset.fullWidth), height: Number(this.dataset.fullHeight) }, says: (text) => this.says(text),
    }, this.off.signal);
    this.proof = this.dataset.proof && makeProof(this.frame, this.dataset, (text) => this.says(text));
    this.makeFlip();
    this.listen();
    this.recall();
    if (location.hash === `#${this.id}`) this.frame.focus({ preventScroll: true });
  }

  disconnectedCallback() { this.off.abort(); }

  part(name) { return this.querySelector(`[data-${name}]`); }

  says(text) { this.part("says").textContent = text; }

  makeLayers() {
    const { bare, layer } = this.dataset;
    if (!bare || !layer) return;
    [this.bare, this.layer] = [["stage-bare", bare], ["stage-layer", layer]].map(([name, src]) => {
      const image = new Image();
      image.className = name;
      image.alt = "";
      image.src = src;
      return image;
    });
    this.line = makeLine(this.frame, this.layer, this.off.signal);
    // Both or neither: until then, and if one does not come, the composed preview stands.
    Promise.all([this.bare.decode(), this.layer.decode()]).then(
      () => { this.querySelector(".stage-preview").after(this.bare, this.layer); this.show(); },
      () => this.says("The layout could not be fetched by itself. This is the layout over the picture."),
    );
  }

  makeFlip() {
    const links = [...document.querySelectorAll("[data-flip] a")];
    const at = links.findIndex((link) => link.getAttribute("aria-current"));
    // On a phone the street is wider than the screen: it opens at the placement that is shown.
    const ground = links[at]?.closest("ul");
    const [here, box] = [links[at], ground].map((part) => part?.getBoundingClientRect());
    if (ground) ground.scrollLeft += here.left + here.width / 2 - box.left - box.width / 2;
    const label = this.querySelector(".stage-preview").alt;
    this.frame.setAttribute("aria-label", links.length > 1 ? `${label}. Keys [ and ] flip between placements` : label);
    this.flip = (by) => {
      const to = links[neighbour(links.length, at, by)];
      if (!to || links.length < 2) return;
      const address = new URL(to.href);
      // Arriving with the stage's name in the address, the next page puts the focus back onto its stage.
      if (address.pathname === location.pathname && address.search === location.search) to.click();
      else location.assign(Object.assign(address, { hash: this.id }));
    };
  }

  listen() {
    const { signal } = this.off;
    const on = (target, type, does) => target?.addEventListener(type, does, { signal });
    on(this.part("over"), "input", (event) => { this.share = Number(event.target.value); this.look = "over"; this.show(); });
    on(this, "click", (event) => {
      const asked = event.target.closest("[data-look]")?.dataset.look;
      if (!asked) return;
      this.look = this.look === asked ? "over" : asked;
      this.show();
    });
    on(this.part("show-marks"), "change", () => this.show());
    on(this.frame, "keydown", (event) => this.key(event));
    on(this.frame, "click", (event) => this.point(event));
  }

  key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey || event.target !== this.frame) return;
    const by = { "[": -1, "]": 1, ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (by) { event.preventDefault(); this.flip(by); }
    if (event.key === "Escape") {
      if (this.asks) this.endPlacing(null);
      else { this.look = "over"; this.show(); }
    }
  }

  show() {
    const composed = Boolean(this.bare?.isConnected);
    for (const button of this.querySelectorAll("[data-look]")) button.setAttribute("aria-pressed", String(button.dataset.look === this.look));
    this.line?.hide();
    this.pixels.hide();
    this.proof?.hide();
    if (composed) {
      this.layer.style.opacity = { over: this.share / 100, bare: 0 }[this.look] ?? 1;
      if (this.look === "line") this.line.show();
    }
    if (this.look === "pixels") this.pixels.show();
    const over = this.part("over");
    if (over) {
      over.value = String(this.share);
      over.setAttribute("aria-valuetext", `layout ${percentSays(this.share)}`);
      this.part("over-says").textContent = percentSays(this.share);
    }
    const marks = (this.part("show-marks")?.checked ?? true) && this.look !== "pixels";
    for (const name of ["marks", "pins"]) this.part(name)?.classList.toggle("stage-hidden", !marks);
    this.says(this.look === "proof" ? this.dataset.proofWords : SAYS[this.look]);
    if (this.look === "proof") this.proof.show(marks);
    this.keep();
  }

  /* Flipping to the next placement keeps how one looks at it: for this tab, not for ever. */
  keep() {
    try {
      sessionStorage.setItem(KEPT, JSON.stringify({ look: this.look, share: this.share, marks: this.part("show-marks")?.checked ?? true }));
    } catch { /* a browser that keeps nothing still shows everything */ }
  }

  recall() {
    let kept = null;
    try { kept = JSON.parse(sessionStorage.getItem(KEPT)); } catch { /* as above */ }
    if (kept && (kept.look in SAYS || kept.look === "proof")) {
      const can = { over: true, pixels: true, proof: Boolean(this.proof) }[kept.look] ?? Boolean(this.layer);
      this.look = can ? kept.look : "over";
      this.share = kept.share;
      const box = this.part("show-marks");
      if (box) box.checked = kept.marks;
    }
    this.show();
  }

  /* ---- places for comments */

  placePin(answer) {
    if (this.look === "pixels") { this.look = "over"; this.show(); }
    this.asks = answer;
    this.frame.classList.add("stage-placing");
    this.frame.scrollIntoView({ block: "center" });
    this.frame.focus({ preventScroll: true });
  }

  point(event) {
    if (!this.asks) return;
    event.preventDefault();
    this.endPlacing(pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY));
  }

  endPlacing(point) {
    const answer = this.asks;
    this.asks = null;
    this.frame.classList.remove("stage-placing");
    answer(point);
  }

  showPin(point) {
    const pins = this.part("pins");
    pins.querySelector(".pin-new")?.remove();
    if (!point) return;
    const group = document.createElementNS("http://www.w3.org/2000/svg", "g");
    group.setAttribute("class", "pin-new");
    const dot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    for (const [name, value] of [["cx", `${100 * point.x}%`], ["cy", `${100 * point.y}%`], ["r", "9"]]) dot.setAttribute(name, value);
    group.append(dot);
    pins.append(group);
  }
}

customElements.define("picture-stage", PictureStage);
