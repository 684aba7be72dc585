/* Protects the geometry of a layout's window: whole pixels, always on the canvas, the ordered shape, the right tiles. */
import assert from "node:assert/strict";
import test from "node:test";
import {
  edgeSays, hasShape, shaped, tilesIn, viewed, windowOf, windowSays, windowTyped, zoneOf,
} from "../../portal/static/portal/js/window-geometry.js";

const CANVAS = { width: 12192, height: 3048 };

test("a window survives the way to fractions and back, whatever its pixels", () => {
  for (let at = 0; at < 3047; at += 7) {
    const win = { x: at, y: at % 1000, width: 9000 - at, height: 1 + (at % 2000) };
    assert.deepEqual(windowOf(zoneOf(win, CANVAS), CANVAS), win);
  }
});

test("a window has at least one pixel and lies on the canvas", () => {
  assert.deepEqual(windowOf({ x0: 1, y0: 1, x1: 1, y1: 1 }, CANVAS), { x: 12191, y: 3047, width: 1, height: 1 });
});

test("four typed numbers are a window", () => {
  assert.deepEqual(windowTyped(["10", " 20 ", "300", "400"], CANVAS), { x: 10, y: 20, width: 300, height: 400 });
});

for (const texts of [["", "0", "1", "1"], ["-1", "0", "1", "1"], ["0", "0", "0", "1"], ["1.5", "0", "1", "1"], ["0", "0", "12193", "1"], ["0", "1", "1", "3048"]]) {
  test(`"${texts}" is no window on this canvas`, () => assert.equal(windowTyped(texts, CANVAS), null));
}

test("the ordered shape is met to one per cent and a pixel of rounding, as the portal itself asks", () => {
  assert.equal(hasShape({ width: 1440, height: 720 }, 2), true);
  assert.equal(hasShape({ width: 1453, height: 720 }, 2), true);
  assert.equal(hasShape({ width: 1460, height: 720 }, 2), false);
  assert.equal(hasShape({ width: 3543, height: 5315 }, 2 / 3), true);
});

test("a window snaps to the ordered shape by the side that has the least to change, about its middle", () => {
  assert.deepEqual(shaped({ x: 100, y: 100, width: 2010, height: 1000 }, 2, CANVAS), { x: 100, y: 98, width: 2010, height: 1005 });
  assert.deepEqual(shaped({ x: 100, y: 100, width: 1500, height: 1000 }, 1, CANVAS), { x: 100, y: 0, width: 1500, height: 1500 });
});

test("the axis that is held stays", () => {
  assert.deepEqual(shaped({ x: 100, y: 100, width: 2010, height: 1000 }, 2, CANVAS, "y"), { x: 105, y: 100, width: 2000, height: 1000 });
});

test("what would leave the canvas is moved in, and made smaller where it does not fit", () => {
  assert.deepEqual(shaped({ x: 0, y: 2000, width: 2000, height: 900 }, 2, CANVAS, "x"), { x: 0, y: 1950, width: 2000, height: 1000 });
  assert.deepEqual(shaped({ x: 0, y: 0, width: 12192, height: 3000 }, 1, CANVAS, "x"), { x: 4572, y: 0, width: 3048, height: 3048 });
});

test("the magnified view needs the four tiles about a corner of them, and none outside the canvas", () => {
  const size = { width: 320, height: 240 };
  const places = (point) => tilesIn(viewed(point, size, 8), CANVAS, 1024).map(({ column, row }) => [column, row]);
  assert.deepEqual(places({ x: 1024, y: 1024 }), [[0, 0], [1, 0], [0, 1], [1, 1]]);
  assert.deepEqual(places({ x: 0, y: 0 }), [[0, 0]]);
  assert.deepEqual(places({ x: 12192, y: 3048 }), [[11, 2]]);
  assert.deepEqual(places({ x: 500, y: 500 }), [[0, 0]]);
});

test("a window is said with its size and shape, and with the ordered one where it differs", () => {
  const plain = (text) => text.replaceAll("\u202f", " ");
  assert.equal(plain(windowSays({ width: 1440, height: 720 }, 2, "48-sheet")), "1440 × 720 px: the shape of 48-sheet.");
  assert.equal(plain(windowSays({ width: 800, height: 700 }, 2, "48-sheet")), "800 × 700 px is 1.14 : 1; 48-sheet is 2.00 : 1. Snap it to the ordered shape.");
  assert.equal(plain(edgeSays("y1", 412)), "412 px from the top");
});
