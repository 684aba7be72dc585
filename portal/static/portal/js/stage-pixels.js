/* Pixel for pixel: one pixel of the picture on one pixel of the screen, moved by dragging or by the arrow keys (Shift: further).
   A larger detail is fetched where the page offers one, about the place that is looked at. */
import { centreKept, cropStart, leavesCrop, placed } from "./geometry.js";
import { addressAt } from "./words.js";

const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export function makePixels(frame, { source, template, full, says }, signal) {
  const image = document.createElement("img");
  image.className = "stage-detail";
  image.alt = "";
  let on = false, centre = { x: full.width / 2, y: full.height / 2 }, crop = null, asked = 0;

  const seen = () => ({ width: frame.clientWidth * devicePixelRatio, height: frame.clientHeight * devicePixelRatio });

  function draw() {
    if (!crop) return;
    image.style.width = `${crop.width / devicePixelRatio}px`;
    image.style.height = `${crop.height / devicePixelRatio}px`;
    image.style.left = `${placed(crop.x, centre.x, frame.clientWidth, devicePixelRatio)}px`;
    image.style.top = `${placed(crop.y, centre.y, frame.clientHeight, devicePixelRatio)}px`;
  }

  async function fetchDetail() {
    const mine = ++asked;
    const next = new Image();
    const about = { ...centre };
    next.src = template ? addressAt(template, about.x / full.width, about.y / full.height) : source;
    try {
      await next.decode();
    } catch {
      if (mine === asked && on) says("This part of the picture could not be fetched. Move it to try again.");
      return;
    }
    if (mine !== asked || !on) return;
    const width = next.naturalWidth, height = next.naturalHeight;
    // Without a detail the preview is what there is: the same place, in fewer pixels.
    if (!template) {
      centre = { x: (centre.x * width) / full.width, y: (centre.y * height) / full.height };
      Object.assign(full, { width, height });
    }
    crop = { width, height, x: cropStart(full.width, width, about.x), y: cropStart(full.height, height, about.y) };
    image.src = next.src;
    if (!image.isConnected) frame.append(image);
    move(0, 0);
  }

  function move(dx, dy) {
    const { width, height } = seen();
    centre = { x: centreKept(full.width, width, centre.x + dx), y: centreKept(full.height, height, centre.y + dy) };
    draw();
  }

  function fetchIfOutside() {
    if (!template || !crop) return;
    const { width, height } = seen();
    if (leavesCrop(full.width, width, centre.x, crop.x, crop.width) || leavesCrop(full.height, height, centre.y, crop.y, crop.height)) fetchDetail();
  }

  frame.addEventListener("keydown", (event) => {
    if (!on || event.target !== frame || !KEYS[event.key]) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const far = event.shiftKey ? 400 : 80;
    move(KEYS[event.key][0] * far, KEYS[event.key][1] * far);
    fetchIfOutside();
  }, { signal });
  frame.addEventListener("pointerdown", (event) => { if (on) { frame.setPointerCapture(event.pointerId); event.preventDefault(); frame.focus({ preventScroll: true }); } }, { signal });
  frame.addEventListener("pointermove", (event) => {
    if (on && frame.hasPointerCapture(event.pointerId)) move(-event.movementX * devicePixelRatio, -event.movementY * devicePixelRatio);
  }, { signal });
  frame.addEventListener("pointerup", () => { if (on) fetchIfOutside(); }, { signal });
  addEventListener("resize", () => { if (on) { move(0, 0); fetchIfOutside(); } }, { signal });

  return {
    show(about) {
      on = true;
      if (about) centre = { x: about.x * full.width, y: about.y * full.height };
      frame.classList.add("stage-pixels");
      fetchDetail();
    },
    hide() { on = false; crop = null; image.remove(); frame.classList.remove("stage-pixels"); },
  };
}
