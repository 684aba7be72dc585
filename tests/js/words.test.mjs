/* Protects what scripts say: sizes, counts, refusals, and the address of a detail. */
import assert from "node:assert/strict";
import test from "node:test";
import { addressAt, filesSay, fileSize, neighbour, percentSays, refusalSays } from "../../portal/static/portal/js/words.js";

const plain = (text) => text.replaceAll("\u202f", " ");

// Decimal prefixes: the International System of Units (SI), 9th edition, table 7.
for (const [bytes, says] of [[0, "0 B"], [999, "999 B"], [1000, "1.0 kB"], [812_000, "812 kB"], [999_499, "999 kB"], [999_500, "1.0 MB"], [3_400_000, "3.4 MB"], [9_960_000, "10 MB"], [512 * 2 ** 20, "537 MB"], [2_000_000_000, "2.0 GB"]]) {
  test(`${bytes} bytes are ${says}`, () => assert.equal(plain(fileSize(bytes)), says));
}

test("none, one and many files", () => {
  assert.equal(filesSay([]), "No file is chosen.");
  assert.equal(plain(filesSay([3_400_000])), "One file, 3.4 MB.");
  assert.equal(plain(filesSay([3_400_000, 600_000])), "2 files, 4.0 MB.");
});

test("a number keeps its unit: the space between does not break", () => assert.equal(percentSays(40.4), "40\u202f%"));

test("a detail's address carries its place", () => {
  assert.equal(addressAt("/detail/{x}/{y}/", 0.5, 1 / 3), "/detail/0.50000/0.33333/");
});

test("the neighbour goes round the ends of the row", () => {
  assert.equal(neighbour(3, 2, 1), 0);
  assert.equal(neighbour(3, 0, -1), 2);
  assert.equal(neighbour(3, -1, 1), 1);
  assert.equal(neighbour(0, 0, 1), -1);
});

test("every refusal is a sentence that says what to do or what is so", () => {
  for (const status of [0, 403, 404, 413, 429, 500]) assert.match(refusalSays(status), /^[A-Z].*\.$/);
  assert.match(refusalSays(0), /still here/);
});
