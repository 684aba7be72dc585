/* The window of a layout file in whole pixels, without DOM: {x, y, width, height} on a canvas {width, height}. */
import { clamp } from "./geometry.js";

/* A zone of fractions as whole pixels, never less than one, all on the canvas; and back. */
export function windowOf(zone, canvas) {
  const x = clamp(Math.round(zone.x0 * canvas.width), 0, canvas.width - 1);
  const y = clamp(Math.round(zone.y0 * canvas.height), 0, canvas.height - 1);
  const right = clamp(Math.round(zone.x1 * canvas.width), x + 1, canvas.width);
  const bottom = clamp(Math.round(zone.y1 * canvas.height), y + 1, canvas.height);
  return { x, y, width: right - x, height: bottom - y };
}

export const zoneOf = (win, canvas) => ({
  x0: win.x / canvas.width, y0: win.y / canvas.height,
  x1: (win.x + win.width) / canvas.width, y1: (win.y + win.height) / canvas.height,
});

/* Four typed texts as a window, or null while they are none that lies on the canvas. */
export function windowTyped(texts, canvas) {
  const [x, y, width, height] = texts.map((text) => (/^\d+$/.test(String(text).trim()) ? Number(text) : NaN));
  const fine = x >= 0 && y >= 0 && width >= 1 && height >= 1 && x + width <= canvas.width && y + height <= canvas.height;
  return fine ? { x, y, width, height } : null;
}

/* Whether a window has the ordered shape, to 1 % and a pixel of rounding: the portal's own rule (overlays/actions.py). */
export const hasShape = ({ width, height }, aspect) =>
  Math.abs(width / height - aspect) <= (0.01 + 1 / Math.min(width, height)) * aspect;

/* The nearest window of the ordered shape about the same middle. `held`: the axis that stays ("x" or "y"); without it the one
   stays that leaves the least to change. What would leave the canvas is moved in, and made smaller where it does not fit. */
export function shaped(win, aspect, canvas, held = "") {
  const high = Math.round(win.width / aspect), wide = Math.round(win.height * aspect);
  const keepsWidth = held ? held === "x" : Math.abs(high - win.height) <= Math.abs(wide - win.width);
  let [width, height] = keepsWidth ? [win.width, high] : [wide, win.height];
  if (width > canvas.width) [width, height] = [canvas.width, Math.round(canvas.width / aspect)];
  if (height > canvas.height) [width, height] = [Math.round(canvas.height * aspect), canvas.height];
  [width, height] = [clamp(width, 1, canvas.width), clamp(height, 1, canvas.height)];
  return {
    x: clamp(Math.round(win.x + (win.width - width) / 2), 0, canvas.width - width),
    y: clamp(Math.round(win.y + (win.height - height) / 2), 0, canvas.height - height),
    width, height,
  };
}

/* The part of the canvas that a view of `size` {width, height} shows about a point, `zoom` times as large. */
export const viewed = (point, size, zoom) => ({
  x: point.x - size.width / (2 * zoom), y: point.y - size.height / (2 * zoom),
  width: size.width / zoom, height: size.height / zoom,
});

/* The tiles of `side` that a part of the canvas touches: [{column, row, x, y}], x and y where each begins. */
export function tilesIn(part, canvas, side) {
  const found = [];
  const last = (from, length, most) => Math.floor((Math.min(from + length, most) - 1e-9) / side);
  for (let row = Math.floor(Math.max(part.y, 0) / side); row <= last(part.y, part.height, canvas.height); row += 1) {
    for (let column = Math.floor(Math.max(part.x, 0) / side); column <= last(part.x, part.width, canvas.width); column += 1) {
      found.push({ column, row, x: column * side, y: row * side });
    }
  }
  return found;
}

const NARROW = "\u202f";

/* What the window is, in words: its size, its shape, and the ordered one where it differs. */
export function windowSays({ width, height }, aspect, format) {
  const of = (value) => `${value.toFixed(2)}${NARROW}:${NARROW}1`;
  const size = `${width}${NARROW}×${NARROW}${height}${NARROW}px`;
  if (hasShape({ width, height }, aspect)) return `${size}: the shape of ${format}.`;
  return `${size} is ${of(width / height)}; ${format} is ${of(aspect)}. Snap it to the ordered shape.`;
}

/* Where an edge lies: "Left edge: 412 px from the left." */
const FROM = { x0: ["Left edge", "left"], x1: ["Right edge", "left"], y0: ["Top edge", "top"], y1: ["Bottom edge", "top"] };
export const edgeSays = (edge, value) => `${value}${NARROW}px from the ${FROM[edge][1]}`;
export const edgeNamed = (edge, value) => `${FROM[edge][0]}: ${edgeSays(edge, value)}.`;
