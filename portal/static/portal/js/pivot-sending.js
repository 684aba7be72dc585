/* One entry to the portal: who is signed in is asked first, and a fresh token for the form with it. */
import { endOf } from "./pivot-words.js";
import { saysOf } from "./speech.js";

const ASKING_MS = 15_000;
const SENDING_MS = 90_000;
const NO_NETWORK = { end: "no network" };

/* { end, says, url }: end is "recorded", "refused", "later", "signed out", "another account" or "no network".
   Sent again after an answer that never came it has no second effect: the portal knows its token. */
export async function send(entry, { post, ready }) {
  const asked = await ask(ready);
  if (!asked) return NO_NETWORK;
  if (endOf(asked) !== "recorded") return ended(asked);
  const { account, token } = await asked.json();
  if (account !== entry.account) return { end: "another account" };
  const sent = await answer(post, {
    method: "POST",
    headers: { "X-CSRFToken": token },
    body: formOf(entry),
    signal: AbortSignal.timeout(SENDING_MS),
  });
  if (sent?.status !== 403) return sent ? ended(sent) : NO_NETWORK;
  // Refused although a moment ago it was allowed: either that has changed, or somebody signed out in between and the
  // token was no longer good. Who is asked again knows which.
  const again = await ask(ready);
  if (!again) return NO_NETWORK;
  return endOf(again) === "recorded" ? { end: "later" } : ended(again);
}

const ask = (ready) => answer(ready, { signal: AbortSignal.timeout(ASKING_MS) });

async function answer(url, how) {
  try {
    const headers = { Accept: "application/json", ...how.headers };
    return await fetch(url, { credentials: "same-origin", cache: "no-store", redirect: "manual", ...how, headers });
  } catch {
    return null;
  }
}

async function ended(response) {
  const end = endOf(response);
  if (end === "signed out" || end === "later") return { end };
  const text = await response.text();
  try {
    return { end, ...JSON.parse(text) };
  } catch {
    return { end, says: saysOf(response.status, text) };
  }
}

function formOf(entry) {
  const form = new FormData();
  for (const name of ["what", "others", "agrees", "shot", "about", "account"]) form.set(name, entry[name] ?? "");
  for (const key of entry.present) form.append("present", key);
  form.set("sent_as", entry.sentAs);
  form.set("happened_at", entry.happenedAt);
  if (entry.withoutPhoto) form.set("without_photo", "on");
  if (entry.photo) form.set("photo", entry.photo, entry.photo.name ?? "on-set.jpg");
  return form;
}
