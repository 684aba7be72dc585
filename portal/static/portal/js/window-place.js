/* <window-place data-width data-height data-aspect data-format data-found="x y width height">: the window of a layout file, set
   on the picture of the whole file, to the pixel.
   Without it: the four numbers are typed, and the window is drawn as it stands.
   With it: drag its edges, its corners, or the whole. On an edge: arrows 1 px, with Shift 10 px, Page Up and Down 100 px, Home
   and End. The magnified view shows what is pointed at; an edge that was taken last is dragged there pixel by pixel. */
import { pointIn, stepped } from "./geometry.js";
import { makeLoupe, ZOOM } from "./loupe.js";
import { edgeNamed, edgeSays, shaped, windowOf, windowSays, windowTyped, zoneOf } from "./window-geometry.js";
import { ZoneBox } from "./zone-box.js";

/* What lies above, below, left and right of a zone is dimmed by rectangles, so that the handles may stand out past the picture. */
const outside = ({ x0, y0, x1, y1 }) => [[0, 0, 1, y0], [0, y1, 1, 1], [0, y0, x0, y1], [x1, y0, 1, y1]];

function dimmed([x0, y0, x1, y1]) {
  const part = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  part.setAttribute("class", "outside");
  const sides = { x: x0, y: y0, width: x1 - x0, height: y1 - y0 };
  for (const [name, value] of Object.entries(sides)) part.setAttribute(name, `${100 * Math.max(0, value)}%`);
  return part;
}

class WindowPlace extends ZoneBox {
  of = "window";
  sides = ["x", "y", "width", "height"];
  anew = false;

  connectedCallback() {
    const { width, height, aspect } = this.dataset;
    this.file = { width: Number(width), height: Number(height) };
    this.aspect = Number(aspect);
    this.least = 1 / Math.min(this.file.width, this.file.height);
    super.connectedCallback();
    const { signal } = this.off;
    const canvas = this.querySelector("[data-loupe]");
    this.loupe = makeLoupe(canvas, this.file, this.image, () => this.tiles());
    this.querySelector("[data-shape]").addEventListener("click", () => this.window && this.keep(shaped(this.window, this.aspect, this.file, this.taken?.[0])), { signal });
    this.querySelector("[data-as-found]")?.addEventListener("click", () => this.keep(this.found), { signal });
    this.box.addEventListener("focusin", (event) => this.take(event.target.dataset.edge), { signal });
    this.frame.addEventListener("pointermove", (event) => { if (!this.held) this.pointAt(event); }, { signal });
    canvas.addEventListener("pointerdown", (event) => this.grabLoupe(event), { signal });
    canvas.addEventListener("pointermove", (event) => this.dragLoupe(event), { signal });
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { this.pulled = null; }, { signal });
    addEventListener("htmx:afterSwap", () => this.loupe.draw(), { signal });
    this.loupe.look({ x: this.window?.x ?? 0, y: this.window?.y ?? 0 }, this.window);
  }

  get window() { return this.zone && windowOf(this.zone, this.file); }

  get found() {
    const [x, y, width, height] = this.dataset.found.split(" ").map(Number);
    return { x, y, width, height };
  }

  tiles() {
    const said = this.querySelector("[data-tiles]")?.dataset;
    return said ? { template: said.tiles, side: Number(said.side) } : null;
  }

  typed(texts) {
    const typed = windowTyped(texts, this.file);
    return typed && zoneOf(typed, this.file);
  }

  exact(zone) { return zoneOf(windowOf(zone, this.file), this.file); }

  fill() { return this.sides.map((side) => String(this.window[side])); }

  says(edge, value) {
    const most = edge[0] === "x" ? this.file.width : this.file.height;
    const now = Math.round(value * most);
    return { now, most, text: edgeSays(edge, now) };
  }

  edgeAt(edge, key, far) {
    const { now, most } = this.says(edge, this.zone[edge]);
    const to = stepped(key, now, { max: most, step: far ? 10 : 1, page: 100 });
    return to === null ? null : to / most;
  }

  moveEdges(edges, point, zone) {
    super.moveEdges(edges, point, zone);
    this.take(edges);
  }

  keep(win) {
    this.put(zoneOf(win, this.file));
    // Said aloud only here: while an edge moves, its slider speaks.
    this.querySelector("[data-aloud]").textContent = this.shapeSays;
  }

  get shapeSays() {
    if (!this.window) return "These four numbers are no window that lies in the file.";
    return windowSays(this.window, this.aspect, this.dataset.format);
  }

  draw() {
    super.draw();
    this.querySelector("[data-says]").textContent = this.shapeSays;
    this.drawn.replaceChildren(...(this.zone ? outside(this.zone).map(dimmed) : []));
    this.loupe?.look(this.loupe.point, this.window);
  }

  /* An edge or corner was taken: the magnified view goes there, for an edge at the height or breadth that was last looked at. */
  take(edges) {
    if (!edges || !this.window || !this.loupe) return;
    this.taken = edges;
    const { x, y, width, height } = this.window;
    const at = { x0: x, x1: x + width, y0: y, y1: y + height };
    const point = { ...this.middle(edges) };
    for (const edge of edges.split(" ")) point[edge[0]] = at[edge];
    this.loupe.look(point, this.window);
    this.where(edges.split(" ").map((edge) => edgeNamed(edge, at[edge])).join(" "));
  }

  middle(edges) {
    const { x, y, width, height } = this.window;
    const { x: alongX, y: alongY } = this.held?.at ?? this.pulled?.at ?? { x: x + width / 2, y: y + height / 2 };
    return edges[0] === "x" ? { y: alongY } : { x: alongX };
  }

  drag(event) {
    if (this.held) this.held.at = this.pixelAt(event);
    super.drag(event);
  }

  pixelAt(event) {
    const at = pointIn(this.frame.getBoundingClientRect(), event.clientX, event.clientY);
    return { x: at.x * this.file.width, y: at.y * this.file.height };
  }

  pointAt(event) {
    const at = this.pixelAt(event);
    this.loupe.look(at, this.window);
    this.where(`${Math.floor(at.x)}, ${Math.floor(at.y)} px from the upper left corner.`);
  }

  where(text) { this.querySelector("[data-where]").textContent = text; }

  grabLoupe(event) {
    if (event.button !== 0) return;
    this.pulled = { x: event.clientX, y: event.clientY, window: this.window, at: this.loupe.point, edges: this.nearest() };
    event.target.setPointerCapture(event.pointerId);
    event.preventDefault();
  }

  /* The edges that the magnified view shows near its middle; none where it only looks. */
  nearest() {
    const { x, y, width, height } = this.window ?? {};
    const { point } = this.loupe, near = (value, middle) => Math.abs(value - middle) <= 20;
    const across = near(x, point.x) ? "x0" : near(x + width, point.x) ? "x1" : "";
    const down = near(y, point.y) ? "y0" : near(y + height, point.y) ? "y1" : "";
    const inX = point.x >= x - 20 && point.x <= x + width + 20, inY = point.y >= y - 20 && point.y <= y + height + 20;
    return [inY ? across : "", inX ? down : ""].filter(Boolean).join(" ");
  }

  dragLoupe(event) {
    if (!this.pulled) return;
    const scale = event.target.getBoundingClientRect().width / event.target.width;
    const by = { x: (event.clientX - this.pulled.x) / (ZOOM * scale), y: (event.clientY - this.pulled.y) / (ZOOM * scale) };
    const { window: win, at, edges } = this.pulled;
    if (!edges) return this.loupe.look({ x: at.x - by.x, y: at.y - by.y }, this.window);
    const start = { x0: win.x, x1: win.x + win.width, y0: win.y, y1: win.y + win.height };
    const point = {};
    for (const edge of edges.split(" ")) {
      const most = edge[0] === "x" ? this.file.width : this.file.height;
      point[edge[0]] = Math.round(start[edge] + by[edge[0]]) / most;
    }
    super.moveEdges(edges, point, zoneOf(win, this.file));
    this.loupe.look(at, this.window);
    const now = zoneOf(this.window, this.file);
    this.where(edges.split(" ").map((edge) => edgeNamed(edge, this.says(edge, now[edge]).now)).join(" "));
  }
}

customElements.define("window-place", WindowPlace);
