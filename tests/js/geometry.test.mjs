/* Protects the geometry of stage and hero zone: nothing leaves the picture, and a pixel lies on a pixel. */
import assert from "node:assert/strict";
import test from "node:test";
import {
  centreKept, cropStart, edgesMoved, leavesCrop, percentText, placed, pointIn, stepped, zoneBetween, zoneMoved, zoneTyped,
} from "../../portal/static/portal/js/geometry.js";

const BOX = { left: 100, top: 50, width: 400, height: 200 };
const ZONE = { x0: 0.25, y0: 0.25, x1: 0.75, y1: 0.5 };

test("a point of the page becomes fractions of the picture", () => {
  assert.deepEqual(pointIn(BOX, 200, 100), { x: 0.25, y: 0.25 });
});

test("a point outside the picture is kept on its edge", () => {
  assert.deepEqual(pointIn(BOX, 0, 900), { x: 0, y: 1 });
});

// The keys of a slider: ARIA Authoring Practices Guide, "Slider Pattern", keyboard interaction.
for (const [key, to] of [["ArrowRight", 51], ["ArrowUp", 51], ["ArrowLeft", 49], ["ArrowDown", 49], ["PageUp", 60], ["PageDown", 40], ["Home", 0], ["End", 100]]) {
  test(`${key} takes a slider from 50 to ${to}`, () => assert.equal(stepped(key, 50), to));
}

test("a slider stops at its ends", () => {
  assert.equal(stepped("ArrowRight", 100), 100);
  assert.equal(stepped("PageDown", 4), 0);
});

test("other keys are left to the page", () => assert.equal(stepped("Tab", 50), null));

test("a zone may be drawn from any corner", () => {
  assert.deepEqual(zoneBetween({ x: 0.75, y: 0.5 }, { x: 0.25, y: 0.25 }), ZONE);
});

test("a click draws the least zone, inside the picture", () => {
  const zone = zoneBetween({ x: 1, y: 1 }, { x: 1, y: 1 });
  assert.ok(zone.x0 < zone.x1 && zone.y0 < zone.y1 && zone.x1 <= 1 && zone.y1 <= 1);
});

test("an edge moves by itself and does not pass the edge opposite", () => {
  assert.deepEqual(edgesMoved(ZONE, "x0", { x: 0.5 }), { ...ZONE, x0: 0.5 });
  assert.deepEqual(edgesMoved(ZONE, "x0", { x: 0.9 }), { ...ZONE, x0: 0.74 });
  assert.deepEqual(edgesMoved(ZONE, "y1", { y: 0 }), { ...ZONE, y1: 0.26 });
});

test("a corner moves two edges", () => {
  assert.deepEqual(edgesMoved(ZONE, "x1 y0", { x: 1, y: 0 }), { x0: 0.25, y0: 0, x1: 1, y1: 0.5 });
});

test("a moved zone keeps its size at the edge of the picture", () => {
  assert.deepEqual(zoneMoved(ZONE, 9, -9), { x0: 0.5, y0: 0, x1: 1, y1: 0.25 });
});

test("four typed per cents are a zone", () => assert.deepEqual(zoneTyped(["25", "25.0", "75", " 50 "]), ZONE));

for (const texts of [["", "1", "2", "3"], ["a", "1", "2", "3"], ["50", "0", "40", "10"], ["0", "0", "101", "10"], ["-1", "0", "50", "10"]]) {
  test(`"${texts}" is no zone`, () => assert.equal(zoneTyped(texts), null));
}

test("per cents have at most two decimals", () => {
  assert.equal(percentText(1 / 3), "33.33");
  assert.equal(percentText(0.5), "50");
});

test("a crop lies about its centre and never outside the picture", () => {
  assert.equal(cropStart(12192, 2400, 6096), 4896);
  assert.equal(cropStart(12192, 2400, 0), 0);
  assert.equal(cropStart(12192, 2400, 12192), 9792);
  assert.equal(cropStart(1000, 2400, 500), 0);
});

test("the view stays on the picture, and a small picture in the middle of the view", () => {
  assert.equal(centreKept(12192, 1000, -50), 500);
  assert.equal(centreKept(12192, 1000, 99999), 11692);
  assert.equal(centreKept(800, 1000, 10), 400);
});

test("more is fetched only where the view leaves the crop and the picture goes on", () => {
  assert.equal(leavesCrop(12192, 1000, 6096, 4896, 2400), false);
  assert.equal(leavesCrop(12192, 1000, 7000, 4896, 2400), true);
  assert.equal(leavesCrop(12192, 1000, 500, 0, 2400), false);
  assert.equal(leavesCrop(800, 1000, 400, 0, 800), false);
});

for (const ratio of [1, 1.25, 1.5, 2, 3]) {
  test(`at ${ratio} device pixels for a CSS pixel, the crop begins on a whole device pixel`, () => {
    const left = placed(4896, 6096.37, 1203, ratio);
    assert.ok(Math.abs(left * ratio - Math.round(left * ratio)) < 1e-9);
    assert.ok(Math.abs(left * ratio - (4896 - 6096.37 + (1203 * ratio) / 2)) <= 0.5);
  });
}
