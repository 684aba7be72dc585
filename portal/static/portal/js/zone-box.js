/* A rectangle on a picture that is drawn, moved and resized, with its numbers in fields: what <hero-zone> and <window-place>
   share. Inside it a zone is {x0, y0, x1, y1} in fractions of the picture.
   Each edge is a slider (ARIA Authoring Practices Guide, "Slider Pattern"); dragging is never the only way (WCAG 2.2, 2.5.7).
   A kind of it says: `sides` and `typed` (its fields), `fill` (write them), `edgeAt` (where a key takes an edge), `says` (an
   edge's numbers in words), `exact` (a zone it can keep), `of` (what it is called), `anew` (whether a drag outside draws it). */
import { edgesMoved, pointIn, zoneBetween, zoneMoved } from "./geometry.js";

const EDGES = { x0: "Left edge", y0: "Top edge", x1: "Right edge", y1: "Bottom edge" };
const CORNERS = ["x0 y0", "x1 y0", "x0 y1", "x1 y1"];

export class ZoneBox extends HTMLElement {
  anew = true;

  connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.frame = this.querySelector("[data-frame]");
    this.image = this.frame.querySelector("img");
    this.style.setProperty("--ratio", String(this.image.getAttribute("width") / this.image.getAttribute("height")));
    this.classList.add("stage-sized");
    this.fields = this.sides.map((side) => this.querySelector(`input[name$="${side}"]`));
    this.drawn = this.querySelector("[data-drawn]");
    this.drawn?.replaceChildren();
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
    for (const corner of CORNERS) box.append(this.makeHandle("zone-corner", corner));
    for (const [edge, label] of Object.entries(EDGES)) {
      const handle = this.makeHandle("zone-edge", edge);
      handle.tabIndex = 0;
      handle.setAttribute("role", "slider");
      handle.setAttribute("aria-label", `${label} of the ${this.of}`);
      handle.setAttribute("aria-orientation", edge[0] === "x" ? "horizontal" : "vertical");
      box.append(handle);
    }
    this.frame.append(box);
    return box;
  }

  makeHandle(className, edge) {
    const handle = document.createElement("span");
    handle.className = className;
    handle.dataset.edge = edge;
    return handle;
  }

  fromFields() {
    this.zone = this.typed(this.fields.map((field) => field.value));
    this.draw();
  }

  put(zone) {
    this.zone = this.exact(zone);
    this.fill(this.zone).forEach((text, at) => { this.fields[at].value = text; });
    this.draw();
  }

  exact(zone) { return zone; }

  draw() {
    const { zone, box } = this;
    box.hidden = !zone;
    if (!zone) return;
    box.style.left = `${100 * zone.x0}%`;
    box.style.top = `${100 * zone.y0}%`;
    box.style.width = `${100 * (zone.x1 - zone.x0)}%`;
    box.style.height = `${100 * (zone.y1 - zone.y0)}%`;
    for (const handle of box.querySelectorAll(".zone-edge")) {
      const { now, most, text } = this.says(handle.dataset.edge, zone[handle.dataset.edge]);
      handle.setAttribute("aria-valuemin", "0");
      handle.setAttribute("aria-valuemax", String(most));
      handle.setAttribute("aria-valuenow", String(now));
      handle.setAttribute("aria-valuetext", text);
    }
  }

  key(event) {
    const edge = event.target.dataset.edge;
    if (!edge || !this.zone) return;
    // Down is further from the top: the slider's "up is more" would move the edge against the arrow.
    const turned = { ArrowUp: "ArrowDown", ArrowDown: "ArrowUp" }[event.key];
    const to = this.edgeAt(edge, edge[0] === "y" && turned ? turned : event.key, event.shiftKey);
    if (to === null) return;
    event.preventDefault();
    this.moveEdges(edge, { [edge[0]]: to });
  }

  moveEdges(edges, point, zone = this.zone) { this.put(edgesMoved(zone, edges, point, this.least)); }

  grab(event) {
    if (event.button !== 0) return;
    const edges = event.target.dataset?.edge, inside = event.target === this.box;
    if (!this.anew && !edges && !inside) return;
    const from = pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY);
    this.held = { from, zone: this.zone, edges, inside };
    this.frame.setPointerCapture(event.pointerId);
    event.preventDefault();
    if (event.target.matches("[tabindex]")) event.target.focus({ preventScroll: true });
  }

  drag(event) {
    if (!this.held) return;
    const at = pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY);
    const { from, zone, edges, inside } = this.held;
    if (zone && edges) this.moveEdges(edges, at, zone);
    else if (zone && inside) this.put(zoneMoved(zone, at.x - from.x, at.y - from.y));
    else this.put(zoneBetween(from, at));
  }
}
