/* The magnified view of a place in a layout file: the file's own pixels where their tiles are there, else the small copy's. */
import { tilesIn, viewed } from "./window-geometry.js";

export const ZOOM = 8;
// Clear pixels are squares of two greys, so that they are told from a grey surround.
const CLEAR = ["#777", "#636363"], SQUARE = 4;

/* `copy`: the small copy's <img>. `tiles()`: {template, side} or null, read anew each time, for they may come later. */
export function makeLoupe(canvas, file, copy, tiles) {
  const context = canvas.getContext("2d");
  const squares = clearPattern(context);
  const held = new Map();
  let point = { x: file.width / 2, y: file.height / 2 }, win = null;

  function tile(template, { column, row }) {
    const address = template.replace("{x}", column).replace("{y}", row);
    if (!held.has(address)) {
      if (held.size > 12) held.delete(held.keys().next().value);
      const image = new Image();
      image.addEventListener("load", draw);
      image.src = address;
      held.set(address, image);
    }
    return held.get(address);
  }

  function draw() {
    const { width, height } = canvas;
    const part = viewed(point, { width, height }, ZOOM);
    const at = (x, y) => [Math.round((x - part.x) * ZOOM), Math.round((y - part.y) * ZOOM)];
    context.imageSmoothingEnabled = false;
    context.fillStyle = "#4a4a4a";
    context.fillRect(0, 0, width, height);
    const [left, top] = at(0, 0), [right, bottom] = at(file.width, file.height);
    context.save();
    context.beginPath();
    context.rect(left, top, right - left, bottom - top);
    context.clip();
    context.fillStyle = squares;
    context.fillRect(0, 0, width, height);
    const found = tiles();
    if (found) {
      for (const one of tilesIn(part, file, found.side)) {
        const image = tile(found.template, one);
        const [x, y] = at(one.x, one.y);
        if (image.complete && image.naturalWidth) context.drawImage(image, x, y, image.naturalWidth * ZOOM, image.naturalHeight * ZOOM);
      }
    } else if (copy.complete && copy.naturalWidth) context.drawImage(copy, left, top, right - left, bottom - top);
    context.restore();
    if (win) outline(at(win.x, win.y), at(win.x + win.width, win.y + win.height));
  }

  /* The window's line runs between two pixels: dark outside, light inside, so that neither is hidden. */
  function outline([left, top], [right, bottom]) {
    for (const [out, colour, wide] of [[1.5, "#1a1a1a", 2], [0, "#7cc2f5", 1]]) {
      context.strokeStyle = colour;
      context.lineWidth = wide;
      context.strokeRect(left - 0.5 - out, top - 0.5 - out, right - left + 2 * out, bottom - top + 2 * out);
    }
  }

  copy.addEventListener("load", draw);
  return {
    look(next, zone) {
      point = next;
      win = zone;
      draw();
    },
    get point() { return point; },
    draw,
  };
}

function clearPattern(context) {
  const one = document.createElement("canvas");
  one.width = one.height = 2 * SQUARE;
  const pen = one.getContext("2d");
  CLEAR.forEach((grey, at) => {
    pen.fillStyle = grey;
    pen.fillRect(at * SQUARE, 0, SQUARE, SQUARE);
    pen.fillRect((1 - at) * SQUARE, SQUARE, SQUARE, SQUARE);
  });
  return context.createPattern(one, "repeat");
}
