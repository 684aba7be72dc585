/* <pin-place data-stage="stage"> with two number fields in per cent, inside a comment's form.
   Without it: the numbers are typed. With it: "Point at the picture" asks the stage for a place and fills them in; typed
   numbers show on the stage. Keys: those of the native button and fields, for a keyboard has no place to click. */
import { percentText } from "./geometry.js";

class PinPlace extends HTMLElement {
  connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.fields = [...this.querySelectorAll('input[type="number"]')];
    const point = this.querySelector("[data-point]");
    if (point) point.hidden = !this.stage;
    point?.addEventListener("click", () => this.ask(), { signal });
    this.addEventListener("input", () => this.draw(), { signal });
    this.closest("form")?.addEventListener("reset", () => this.stage?.showPin?.(null), { signal });
  }

  disconnectedCallback() {
    this.off.abort();
    this.stage?.showPin?.(null);
  }

  get stage() { return document.getElementById(this.dataset.stage); }

  says(text) { this.querySelector("[data-says]").textContent = text; }

  ask() {
    const { stage } = this;
    if (!stage?.placePin) return this.says("There is no picture on this page to point at.");
    this.says("Now tap the picture where it is. Escape leaves it.");
    stage.placePin((point) => {
      if (!point) return this.says("");
      [this.fields[0].value, this.fields[1].value] = [percentText(point.x), percentText(point.y)];
      this.says("The place is marked on the picture.");
      this.draw();
      this.querySelector("[data-point]").focus({ preventScroll: true });
    });
  }

  draw() {
    const [x, y] = this.fields.map((field) => (field.value === "" ? NaN : Number(field.value) / 100));
    this.stage?.showPin?.(x >= 0 && x <= 1 && y >= 0 && y <= 1 ? { x, y } : null);
  }
}

customElements.define("pin-place", PinPlace);
