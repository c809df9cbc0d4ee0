/* The worker keeps the page itself for when the book is out of reach, and nothing else: no page of the book, no answer,
   nothing of a person's. Its version is the print of its list of files, which the book writes above this line. */
const MINE = `gylebook-pocket ${SHELL.scope} `;
const CACHE = MINE + SHELL.version;

/* What the page has just loaded is at hand already: the print tells whether it is still the right one. */
const loaded = (address, integrity, cache) => fetch(address, { integrity, cache, credentials: "omit", redirect: "error" });
const fetched = async ([address, integrity]) => {
  const answer = await loaded(address, integrity, "force-cache").catch(() => loaded(address, integrity, "reload"));
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return [address, answer];
};

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    // All or nothing, and each exactly as listed: a page of two releases mixed is worse than the old one.
    const answers = await Promise.all(SHELL.files.map(fetched));
    const cache = await caches.open(CACHE);
    await Promise.all(answers.map(([address, answer]) => cache.put(address, answer)));
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith(MINE) && name !== CACHE) await caches.delete(name);
    await self.clients.claim();
  })());
});

/* By its path: what follows it names the language of the page, or the print of its words. */
const KNOWN = new Map(SHELL.files.map(([address]) => [address.split("?")[0], address]));

self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== "GET" || origin !== self.location.origin) return;
  if (!KNOWN.has(pathname)) return;
  event.respondWith((async () => {
    const cache = await caches.open(CACHE);
    return await cache.match(KNOWN.get(pathname)) ?? fetch(event.request);
  })());
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

/* Where the browser wakes the worker once there is a network again, it sends what waits without any page. */
self.addEventListener("sync", (event) => {
  if (event.tag === "outbox" && self.sendAll) event.waitUntil(self.sendAll());
});
