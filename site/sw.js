// Keeps the page working offline. A version is stored whole before it is used,
// and stays in use until the person agrees to a newer one, so an update never
// mixes with open work.

"use strict";

const CACHE = "sheenlay-@version";
const FILES = [
  "@files",
];

// No referrer: one browser names this script otherwise.
addEventListener("install", (event) => {
  const requests = FILES.map((file) => new Request(file, { cache: "reload", referrer: "", referrerPolicy: "no-referrer" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(requests)));
});

// Another window may still work with the version before, and fetches parts of
// it when they are first used: older files go only when no such window is left.
addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const windows = await clients.matchAll({ type: "window", includeUncontrolled: true });
    for (const name of windows.length > 1 ? [] : await caches.keys()) {
      if (name.startsWith("sheenlay-") && name !== CACHE) await caches.delete(name);
    }
    await clients.claim();
  })());
});

// The page sends the first once the person has agreed to the update; the second
// to have the copy of itself that one browser would not ask for here when it is
// downloaded by its address.
addEventListener("message", (event) => {
  if (event.data === "use the new version") skipWaiting();
  if (event.data === "the copy to keep") {
    const [door] = event.ports;
    event.waitUntil(kept("/sheenlay.html").then(async (answer) => door.postMessage((await answer?.blob()) ?? null), () => door.postMessage(null)));
  }
});

/** This version's file; a file of an older version only under its own hash. */
async function kept(path) {
  return (await (await caches.open(CACHE)).match(path))
    ?? (/^\/(v|engine)\//.test(path) ? caches.match(path) : undefined);
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  const path = url.pathname === "/index.html" ? "/" : url.pathname;
  event.respondWith((async () => (await kept(path)) ?? fetch(request))());
});
