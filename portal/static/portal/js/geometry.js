/* Geometry of stage and hero zone, without DOM. Fractions run from 0 to 1 from the upper left corner of a picture. */

export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

/* A point of the page as fractions of a box {left, top, width, height}, kept inside it. */
export function pointIn(box, x, y) {
  return { x: clamp((x - box.left) / box.width, 0, 1), y: clamp((y - box.top) / box.height, 0, 1) };
}

/* The keys of a slider (arrows, Page Up and Down, Home, End): the new value, or null where the key is not one of them. */
export function stepped(key, value, { min = 0, max = 100, step = 1, page = 10 } = {}) {
  const to = {
    ArrowRight: value + step, ArrowUp: value + step, ArrowLeft: value - step, ArrowDown: value - step,
    PageUp: value + page, PageDown: value - page, Home: min, End: max,
  }[key];
  return to === undefined ? null : clamp(to, min, max);
}

/* A zone {x0, y0, x1, y1}: no side shorter than `least`, all of it in the picture. */
const LEAST = 0.01;

export function zoneBetween(a, b) {
  const x0 = clamp(Math.min(a.x, b.x), 0, 1 - LEAST), y0 = clamp(Math.min(a.y, b.y), 0, 1 - LEAST);
  return {
    x0, y0,
    x1: clamp(Math.max(a.x, b.x, x0 + LEAST), 0, 1),
    y1: clamp(Math.max(a.y, b.y, y0 + LEAST), 0, 1),
  };
}

/* `edges` names one edge or a corner: "x0", "y1", "x0 y0". */
export function edgesMoved(zone, edges, point, least = LEAST) {
  const next = { ...zone };
  for (const edge of edges.split(" ")) {
    const axis = edge[0];
    const value = point[axis];
    next[edge] = edge.endsWith("0") ? clamp(value, 0, zone[`${axis}1`] - least) : clamp(value, zone[`${axis}0`] + least, 1);
  }
  return next;
}

export function zoneMoved(zone, dx, dy) {
  const x = clamp(dx, -zone.x0, 1 - zone.x1), y = clamp(dy, -zone.y0, 1 - zone.y1);
  return { x0: zone.x0 + x, y0: zone.y0 + y, x1: zone.x1 + x, y1: zone.y1 + y };
}

/* Four typed per cents as a zone, or null while they are none. */
export function zoneTyped(texts) {
  const [x0, y0, x1, y1] = texts.map((text) => (String(text).trim() === "" ? NaN : Number(text) / 100));
  const fine = [x0, y0, x1, y1].every((v) => v >= 0 && v <= 1) && x0 < x1 && y0 < y1;
  return fine ? { x0, y0, x1, y1 } : null;
}

/* Per cent for a field: at most two decimals, for a hundredth of a per cent of 12192 pixels is one pixel. */
export const percentText = (fraction) => String(Math.round(fraction * 10000) / 100);

/* ---- pixel for pixel: lengths along one axis, in pixels of the full picture */

/* Where a crop of `size` begins whose centre is as near to `centre` as the edges of `full` allow. */
export const cropStart = (full, size, centre) => clamp(Math.round(centre - size / 2), 0, Math.max(full - size, 0));

/* A centre that keeps a view of `seen` pixels on the picture; a picture that is smaller than the view stays in its middle. */
export const centreKept = (full, seen, centre) => (seen >= full ? full / 2 : clamp(centre, seen / 2, full - seen / 2));

/* Whether a view of `seen` pixels about `centre` leaves the crop from `start`, `size` long, where there is more to fetch. */
export function leavesCrop(full, seen, centre, start, size) {
  const from = Math.max(centre - seen / 2, 0), to = Math.min(centre + seen / 2, full);
  return from < start - 0.5 || to > start + size + 0.5;
}

/* CSS length at which the crop's first pixel falls on a device pixel. */
export const placed = (start, centre, viewCss, ratio) => Math.round((start - centre) + (viewCss * ratio) / 2) / ratio;
