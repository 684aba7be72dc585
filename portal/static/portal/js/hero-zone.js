/* <hero-zone>: the rectangle in which the hero food must sit, on the mockup, with its four sides in number fields (per cent).
   Without it: the numbers are typed, and the zone is drawn as it was last kept.
   With it: drag on the bare picture to draw it anew, drag the rectangle, its corners or its edges. Each edge is a slider:
   arrows 1 %, with Shift 0.1 %, Page Up and Down 10 %, Home and End. Dragging is never the only way (WCAG 2.2, 2.5.7). */
import { edgesMoved, percentText, pointIn, stepped, zoneBetween, zoneMoved, zoneTyped } from "./geometry.js";
import { percentSays } from "./words.js";

const EDGES = { x0: "Left edge", y0: "Top edge", x1: "Right edge", y1: "Bottom edge" };
const CORNERS = ["x0 y0", "x1 y0", "x0 y1", "x1 y1"];
const SIDES = ["x0", "y0", "x1", "y1"];

class HeroZone extends HTMLElement {
  connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.frame = this.querySelector("[data-frame]");
    const image = this.querySelector("img");
    this.style.setProperty("--ratio", String(image.getAttribute("width") / image.getAttribute("height")));
    this.classList.add("stage-sized");
    this.fields = SIDES.map((side) => this.querySelector(`input[name$="${side}"]`));
    this.querySelector("[data-drawn]")?.remove();
    this.box = this.frame.querySelector(".zone-box") ?? this.makeBox();
    this.addEventListener("input", () => this.fromFields(), { signal });
    this.box.addEventListener("keydown", (event) => this.key(event), { signal });
    this.frame.addEventListener("pointerdown", (event) => this.grab(event), { signal });
    this.frame.addEventListener("pointermove", (event) => this.drag(event), { signal });
    for (const end of ["pointerup", "pointercancel"]) this.frame.addEventListener(end, () => { this.held = null; }, { signal });
    this.fromFields();
  }

  disconnectedCallback() { this.off.abort(); }

  makeBox() {
    const box = document.createElement("div");
    box.className = "zone-box";
    for (const corner of CORNERS) {
      const handle = document.createElement("span");
      handle.className = "zone-corner";
      handle.dataset.edge = corner;
      box.append(handle);
    }
    for (const [edge, label] of Object.entries(EDGES)) {
      const handle = document.createElement("span");
      handle.className = "zone-edge";
      handle.dataset.edge = edge;
      handle.tabIndex = 0;
      handle.setAttribute("role", "slider");
      handle.setAttribute("aria-label", `${label} of the hero zone`);
      handle.setAttribute("aria-orientation", edge[0] === "x" ? "horizontal" : "vertical");
      handle.setAttribute("aria-valuemin", "0");
      handle.setAttribute("aria-valuemax", "100");
      box.append(handle);
    }
    this.frame.append(box);
    return box;
  }

  fromFields() {
    this.zone = zoneTyped(this.fields.map((field) => field.value));
    this.draw();
  }

  put(zone) {
    this.zone = zone;
    SIDES.forEach((side, at) => { this.fields[at].value = percentText(zone[side]); });
    this.draw();
  }

  draw() {
    const { zone, box } = this;
    box.hidden = !zone;
    if (!zone) return;
    box.style.left = `${100 * zone.x0}%`;
    box.style.top = `${100 * zone.y0}%`;
    box.style.width = `${100 * (zone.x1 - zone.x0)}%`;
    box.style.height = `${100 * (zone.y1 - zone.y0)}%`;
    for (const handle of box.querySelectorAll(".zone-edge")) {
      const value = zone[handle.dataset.edge];
      handle.setAttribute("aria-valuenow", percentText(value));
      handle.setAttribute("aria-valuetext", percentSays(100 * value));
    }
  }

  key(event) {
    const edge = event.target.dataset.edge;
    if (!edge || !this.zone) return;
    // Down is further from the top: the slider's "up is more" would move the edge against the arrow.
    const turned = { ArrowUp: "ArrowDown", ArrowDown: "ArrowUp" }[event.key];
    const key = edge[0] === "y" && turned ? turned : event.key;
    const to = stepped(key, 100 * this.zone[edge], { step: event.shiftKey ? 0.1 : 1 });
    if (to === null) return;
    event.preventDefault();
    this.put(edgesMoved(this.zone, edge, { [edge[0]]: to / 100 }));
  }

  grab(event) {
    if (event.button !== 0) return;
    const from = pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY);
    const edges = event.target.dataset?.edge;
    this.held = { from, zone: this.zone, edges, inside: event.target === this.box };
    this.frame.setPointerCapture(event.pointerId);
    event.preventDefault();
    if (event.target.matches("[tabindex]")) event.target.focus({ preventScroll: true });
  }

  drag(event) {
    if (!this.held) return;
    const at = pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY);
    const { from, zone, edges, inside } = this.held;
    if (zone && edges) this.put(edgesMoved(zone, edges, at));
    else if (zone && inside) this.put(zoneMoved(zone, at.x - from.x, at.y - from.y));
    else this.put(zoneBetween(from, at));
  }
}

customElements.define("hero-zone", HeroZone);
