// The service worker of ballots. Before this text the service writes VERSION and
// ASSETS. It holds the ballot's assets and, for each ballot that was opened, a page
// that goes on without network. No serving is ever cached here.
const CACHE = `cloche-${VERSION}`;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(ASSETS)));
});

async function activate() {
  for (const name of await caches.keys()) if (name !== CACHE) await caches.delete(name);
  await self.clients.claim();
}
self.addEventListener("activate", (event) => event.waitUntil(activate()));

/** The network's answer; else, or after a while, the page without network. */
async function page(request, ballot) {
  try {
    return await fetch(request, { signal: AbortSignal.timeout?.(8000) });
  } catch {
    return (await caches.match(`${ballot}/offline`)) ?? Response.error();
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (pathname.startsWith("/assets/")) {
    event.respondWith(caches.match(request).then((held) => held ?? fetch(request)));
    return;
  }
  const ballot = pathname.match(/^\/t\/[^/]+/)?.[0];
  if (ballot && request.mode === "navigate") event.respondWith(page(request, ballot));
});
