/* Keeps the page for a change on set openable without network: its worker, and what the page is made of.
   Where there is no secure context (plain http on a network) browsers have neither: the open page still works.
   Kept is the page as its reader last saw it (titles of shots and names of members are in it) and its styles and
   scripts, nothing else. Signing out clears it (sign-out.js), and so does an answer that says its reader may not. */

const CACHE = "on-set ";

/* Whether the page can be opened again without network. */
export async function keepShell(here) {
  if (!("serviceWorker" in navigator) || !("caches" in window)) return false;
  try {
    await navigator.serviceWorker.register(`${here}worker.js`, { scope: here });
    await fill(await caches.open(CACHE + here), new URL(here, location.origin).href);
    return true;
  } catch {
    return Boolean(await navigator.serviceWorker.getRegistration(here).catch(() => null));
  }
}

async function fill(kept, page) {
  const parts = performance.getEntriesByType("resource").map((part) => part.name.split("#")[0]);
  const wanted = new Set(parts.filter((url) => url.startsWith(`${location.origin}/static/`)));
  const there = new Set((await kept.keys()).map((request) => request.url));
  await kept.addAll([...wanted].filter((url) => !there.has(url)));
  if (!there.has(page)) {
    const answer = await fetch(page, { redirect: "error", headers: { Accept: "text/html" } });
    if (answer.ok) await kept.put(page, answer);
  }
  // What an earlier release of the page was made of.
  for (const url of there) if (url !== page && !wanted.has(url)) await kept.delete(url);
}

export const forget = () => forgetAll().catch(() => {});

async function forgetAll() {
  if (!("caches" in window)) return;
  for (const name of await caches.keys()) if (name.startsWith(CACHE)) await caches.delete(name);
}
