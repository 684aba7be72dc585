/* Keeps the page for a change on set usable without network. It answers for that page and for what the page is made
   of, and for nothing else: entries are kept and sent by the page itself. */
const PAGE = self.registration.scope;
const CACHE = `on-set ${new URL(PAGE).pathname}`;
const STATIC = `${self.location.origin}{{ static_url }}`;
// On set a network is often there and does not carry: after this long the page as it was last seen is shown.
const PATIENCE_MS = 3000;
// Static names with a digest never change.
const LASTS = /\.[0-9a-f]{12}\.\w+$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  if (request.mode === "navigate" && request.url.split(/[?#]/)[0] === PAGE) event.respondWith(page(event));
  else if (request.url.startsWith(STATIC)) event.respondWith(part(request));
});

async function page(event) {
  const kept = await caches.open(CACHE);
  const old = await kept.match(PAGE, { ignoreVary: true });
  const fresh = fetch(event.request).then((answer) => note(kept, answer));
  event.waitUntil(fresh.catch(() => {}));
  if (!old) return fresh;
  return Promise.race([fresh.catch(() => old), new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, old); })]);
}

async function note(kept, answer) {
  if (answer.ok && answer.type === "basic") await kept.put(PAGE, answer.clone());
  // Signed out, or no longer in the campaign: what is kept is not for whoever asks.
  else if (answer.type === "opaqueredirect" || answer.status === 403 || answer.status === 404) await kept.delete(PAGE);
  return answer;
}

async function part(request) {
  const kept = await caches.open(CACHE);
  const old = await kept.match(request, { ignoreVary: true });
  if (old && LASTS.test(request.url)) return old;
  try {
    const answer = await fetch(request);
    if (answer.ok) await kept.put(request, answer.clone());
    return answer;
  } catch (error) {
    if (old) return old;
    throw error;
  }
}
