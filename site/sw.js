// Keeps the page working offline. A version is stored whole before it is used,
// and stays in use until the person agrees to a newer one, so an update never
// mixes with open work.

"use strict";

const CACHE = "sheenlay-@version";
const FILES = [
  "@files",
];

addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("sheenlay-") && name !== CACHE) await caches.delete(name);
    }
    await clients.claim();
  })());
});

// The page sends this once the person has agreed to the update.
addEventListener("message", (event) => {
  if (event.data === "use the new version") skipWaiting();
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  const path = url.pathname === "/index.html" ? "/" : url.pathname;
  event.respondWith((async () => (await (await caches.open(CACHE)).match(path)) ?? fetch(request))());
});
