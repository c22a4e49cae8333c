/* Answers for the pages of the Clock when the app cannot be reached. */
"use strict";

const CACHE = "hillbench-clock";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  if (new URL(request.url).pathname.startsWith("/assets/")) event.respondWith(keptFirst(request));
  else if (request.mode === "navigate") event.respondWith(appFirst(request));
});

async function keptFirst(request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(request, { ignoreVary: true })) || fetch(request);
}

async function appFirst(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const cache = await caches.open(CACHE);
    const kept = await cache.match(request, { ignoreSearch: true, ignoreVary: true });
    if (kept) return kept;
    throw error;
  }
}
