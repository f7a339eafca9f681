// The service worker of ballots, and that of the floor. Before this text the
// service writes VERSION and ASSETS. It holds the assets of its part and pages that
// go on without network: one for each ballot that was opened, one for the floor. No
// serving is ever cached here.
const PART = new URL(self.registration.scope).pathname.startsWith("/floor") ? "floor" : "ballot";
const CACHE = `cloche-${PART}-${VERSION}`;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(ASSETS[PART])));
});

async function activate() {
  for (const name of await caches.keys()) if (name.startsWith(`cloche-${PART}-`) && name !== CACHE)
    await caches.delete(name);
  await self.clients.claim();
}
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => event.waitUntil(self.clients.claim())); // of a page that claiming missed

/** The network's answer; else, or after a while, the page without network. */
async function page(request, offline) {
  try {
    return await fetch(request, { signal: AbortSignal.timeout?.(8000) });
  } catch {
    return (await caches.match(offline)) ?? Response.error();
  }
}

/** The address of the page that stands in for another without network. */
function standIn(pathname) {
  if (PART === "floor") return "/floor/offline";
  const ballot = pathname.match(/^\/t\/[^/]+/)?.[0];
  return ballot && `${ballot}/offline`;
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (pathname.startsWith("/assets/")) {
    event.respondWith(caches.match(request).then((held) => held ?? fetch(request)));
    return;
  }
  if (request.mode !== "navigate") return;
  const offline = standIn(pathname);
  if (offline === pathname && PART === "floor") { // the phone knows already that the network is away
    event.respondWith(caches.match(offline).then((held) => held ?? fetch(request)));
  } else if (offline) event.respondWith(page(request, offline));
});
