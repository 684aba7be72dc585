/* What the page for a change on set says and reckons, without DOM: sentences, waiting times, what an answer means. */

const COUNTS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
const SECOND = 1000;
const FIRST_PAUSE = 5 * SECOND;
const LONGEST_PAUSE = 300 * SECOND;

const number = (n) => COUNTS[n] ?? String(n);
const opening = (says) => says[0].toUpperCase() + says.slice(1);
const changes = (n) => `${number(n)} ${n === 1 ? "change" : "changes"}`;

/* How things stand, in a sentence or two; empty where nothing needs to be said.
   `state`: "" (reached when last tried), "no network", "signed out", "another account", "sending"; `keeps`: whether this
   browser keeps anything. */
export function standingSays({ waiting, refused, others, state, keeps = true }) {
  const said = [];
  const wait = waiting === 1 ? "waits" : "wait";
  const kept = `${opening(changes(waiting))} ${wait} on this phone`;
  const are = waiting === 1 ? "is" : "are";
  if (!keeps && state === "no network") {
    said.push("No network, and this browser keeps nothing, as in a private window. Leave the page open and send again when the network is back.");
  } else if (state === "no network") {
    said.push("No network.");
    said.push(waiting ? `${kept} and ${are} sent when it is back.` : "Go on: what you send waits on this phone until it is back.");
  } else if (state === "signed out") {
    said.push(`Your sign-in has run out. ${waiting ? `${kept} and ${are} sent once you have signed in again.` : "Sign in again."}`);
  } else if (state === "another account") {
    said.push(`Somebody else is signed in now. ${waiting ? `${kept} and ${are} sent when you have signed in again.` : "Load the page again."}`);
  } else if (state === "sending" && waiting) said.push(`Sending ${changes(waiting)}.`);
  else if (waiting) said.push(`${kept} and ${are} sent as soon as the portal answers.`);
  if (refused) said.push(`${opening(changes(refused))} ${refused === 1 ? "was" : "were"} not taken; why stands below. Nothing of ${refused === 1 ? "it" : "them"} is lost.`);
  if (others) said.push(`${opening(changes(others))} of another account ${others === 1 ? "waits" : "wait"} here too, until that person signs in on this phone.`);
  return said.join(" ");
}

/* How long to wait before the next try, in ms: 5 s, doubled each time, five minutes at most. */
export const pause = (tries) => Math.min(FIRST_PAUSE * 2 ** Math.max(tries - 1, 0), LONGEST_PAUSE);

/* What an answer means for an entry: "recorded", "signed out", "refused" (kept, with its sentence) or "later". */
export function endOf({ type = "basic", status }) {
  if (type === "opaqueredirect" || status === 401) return "signed out";
  if (status >= 200 && status < 300) return "recorded";
  // Asked too often, or took too long: the same will be taken another time.
  if (status === 408 || status === 425 || status === 429) return "later";
  return status >= 400 && status < 500 ? "refused" : "later";
}

/* Entries on this phone, by whose they are: those of this account in this campaign, and how many of another account. */
export function sorted(entries, { account, campaign }) {
  const here = entries.filter((entry) => entry.campaign === campaign);
  const mine = here.filter((entry) => entry.account === account).sort((a, b) => a.begunAt - b.begunAt);
  const of = (state) => mine.filter((entry) => entry.state === state);
  return {
    draft: of("draft").at(-1) ?? null,
    waiting: of("waiting"),
    refused: of("refused"),
    others: here.filter((entry) => entry.account !== account && entry.state !== "draft").length,
  };
}

/* Width and height within `most`, in px, the shape kept; never larger than it is. */
export function fitWithin(width, height, most) {
  const scale = Math.min(1, most / Math.max(width, height));
  return [Math.max(1, Math.round(width * scale)), Math.max(1, Math.round(height * scale))];
}

/* What is missing before it can be sent: [[field, sentence], ...]. */
export function missing({ what, agrees, photo, withoutPhoto }) {
  const found = [];
  if (!photo && !withoutPhoto) found.push(["photo", "There is no photo yet. Take one, or say that there is nothing to photograph."]);
  if (!what.trim()) found.push(["what", "Say in a sentence what is different from now on."]);
  if (!agrees) found.push(["agrees", "Choose who agrees, or that no signer is here."]);
  return found;
}

/* A token that nobody can guess: 32 figures and letters. `bytes`: 16 random ones. */
export const tokenOf = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
