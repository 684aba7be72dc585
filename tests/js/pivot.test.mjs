/* Protects what the page for a change on set says and reckons: counts, pauses, what an answer means, whose an entry is. */
import assert from "node:assert/strict";
import test from "node:test";
import { endOf, fitWithin, missing, pause, sorted, standingSays, tokenOf } from "../../portal/static/portal/js/pivot-words.js";

const NONE = { waiting: 0, refused: 0, others: 0, state: "" };
const says = (more) => standingSays({ ...NONE, ...more });

test("nothing to say is nothing", () => assert.equal(says({}), ""));

for (const [more, said] of [
  [{ state: "no network" }, "No network. Go on: what you send waits on this phone until it is back."],
  [{ state: "no network", waiting: 1 }, "No network. One change waits on this phone and is sent when it is back."],
  [{ state: "no network", waiting: 3 }, "No network. Three changes wait on this phone and are sent when it is back."],
  [{ state: "no network", keeps: false }, "No network, and this browser keeps nothing, as in a private window. Leave the page open and send again when the network is back."],
  [{ state: "sending", waiting: 1 }, "Sending one change."],
  [{ state: "sending", waiting: 13 }, "Sending 13 changes."],
  [{ waiting: 2 }, "Two changes wait on this phone and are sent as soon as the portal answers."],
  [{ state: "signed out", waiting: 1 }, "Your sign-in has run out. One change waits on this phone and is sent once you have signed in again."],
  [{ state: "another account", waiting: 1 }, "Somebody else is signed in now. One change waits on this phone and is sent when you have signed in again."],
  [{ refused: 1 }, "One change was not taken; why stands below. Nothing of it is lost."],
  [{ refused: 2 }, "Two changes were not taken; why stands below. Nothing of them is lost."],
  [{ others: 1 }, "One change of another account waits here too, until that person signs in on this phone."],
]) test(said, () => assert.equal(says(more), said));

test("pauses double from five seconds to five minutes, and never grow beyond", () => {
  assert.deepEqual([0, 1, 2, 3, 6, 7, 8, 40].map((tries) => pause(tries) / 1000), [5, 5, 10, 20, 160, 300, 300, 300]);
});

test("an answer means one thing", () => {
  for (const status of [200, 201]) assert.equal(endOf({ status }), "recorded");
  for (const status of [400, 403, 404, 409, 413, 422]) assert.equal(endOf({ status }), "refused");
  for (const status of [408, 425, 429, 500, 502, 503, 504]) assert.equal(endOf({ status }), "later");
  assert.equal(endOf({ type: "opaqueredirect", status: 0 }), "signed out");
  assert.equal(endOf({ status: 401 }), "signed out");
});

const entry = (sentAs, more) => ({ sentAs, account: "me", campaign: "here", state: "waiting", begunAt: 0, ...more });

test("what is kept is sorted by whose it is, where, and in what state; oldest first", () => {
  const entries = [
    entry("b", { begunAt: 2 }), entry("a", { begunAt: 1 }), entry("r", { state: "refused" }), entry("d", { state: "draft" }),
    entry("x", { account: "other" }), entry("xd", { account: "other", state: "draft" }), entry("y", { campaign: "elsewhere" }),
  ];
  const found = sorted(entries, { account: "me", campaign: "here" });
  assert.deepEqual(found.waiting.map((one) => one.sentAs), ["a", "b"]);
  assert.deepEqual(found.refused.map((one) => one.sentAs), ["r"]);
  assert.equal(found.draft.sentAs, "d");
  assert.equal(found.others, 1);
  assert.equal(sorted([], { account: "me", campaign: "here" }).draft, null);
});

test("a picture is made to fit, its shape kept, and never larger", () => {
  assert.deepEqual(fitWithin(4032, 3024, 2560), [2560, 1920]);
  assert.deepEqual(fitWithin(3024, 4032, 2560), [1920, 2560]);
  assert.deepEqual(fitWithin(640, 480, 2560), [640, 480]);
  assert.deepEqual(fitWithin(20_000, 3, 2560), [2560, 1]);
});

test("what is missing is named in the order of the page", () => {
  const whole = { what: "Seeded bun", agrees: "k", photo: {}, withoutPhoto: false };
  assert.deepEqual(missing(whole), []);
  assert.deepEqual(missing({ ...whole, photo: null, withoutPhoto: true }), []);
  assert.deepEqual(missing({ what: " ", agrees: "", photo: null, withoutPhoto: false }).map(([name]) => name), ["photo", "what", "agrees"]);
});

test("a token has two figures for each byte", () => assert.equal(tokenOf(new Uint8Array([0, 15, 255])), "000fff"));
