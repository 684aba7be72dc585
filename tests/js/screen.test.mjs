/* Protects the matching of a screen to a bank card: what is kept are the screen's own pixels, whatever the page's zoom. */
import assert from "node:assert/strict";
import test from "node:test";
import { centimetre, devicePixels } from "../../portal/static/portal/js/screen-match.js";

// CSS Values and Units Level 4, 6.2: an inch has 96 px and 25.4 mm.
test("without a match a centimetre has 96 / 2.54 px", () => {
  assert.ok(Math.abs(centimetre(null, 2) - 37.7952755) < 1e-6);
});

// ISO/IEC 7810, ID-1: a card is 85.60 mm wide.
test("a rectangle as wide as a card makes a centimetre 1 / 8.56 of it", () => {
  assert.ok(Math.abs(centimetre(devicePixels(428, 1), 1) - 50) < 1e-9);
});

test("zooming the page in makes a centimetre fewer CSS px, and as many of the screen's own", () => {
  const match = devicePixels(428, 1);
  assert.ok(Math.abs(centimetre(match, 2) - 25) < 1e-9);
  assert.ok(Math.abs(centimetre(match, 2) * 2 - centimetre(match, 1)) < 1e-9);
});
