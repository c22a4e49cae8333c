/* So that the page can be loaded again without the app: kept with all it needs.
   Browsers allow it on this computer and over https only; elsewhere the open page still works. */

const CACHE = "hillbench-clock";
const QUIET_MS = 1500;
let timer = 0;

export function keepForReload() {
  if (!("serviceWorker" in navigator) || !("caches" in window)) return;
  clearTimeout(timer);
  timer = setTimeout(keep, QUIET_MS);
}

async function keep() {
  try {
    await navigator.serviceWorker.register("/clock/worker.js", { scope: "/clock" });
    const cache = await caches.open(CACHE);
    const needed = performance.getEntriesByType("resource").map((entry) => new URL(entry.name).pathname)
      .filter((path) => path.startsWith("/assets/"));
    const known = new Set((await cache.keys()).map((request) => new URL(request.url).pathname));
    await cache.addAll([location.pathname, ...new Set(needed)].filter((path) => path === location.pathname || !known.has(path)));
    const edition = needed[0]?.split("/")[2];
    for (const path of known) {
      if (edition && path.startsWith("/assets/") && path.split("/")[2] !== edition) cache.delete(path);
    }
  } catch {
    /* Without the app there is nothing newer to keep. */
  }
}
