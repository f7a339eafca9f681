// Registers the service worker that lets a page go on without network. Browsers allow
// it over HTTPS and on localhost alone.

/** Whether this browser may go on without network here. */
export const able = window.isSecureContext && "serviceWorker" in navigator && "subtle" in crypto;

/**
 * Registers the worker for a part of the service. A page that was on its way while the
 * worker took over the others is in nobody's hands: it asks to be taken too.
 */
export async function register(scope) {
  const { active } = await navigator.serviceWorker.register("/worker.js", { scope });
  if (!navigator.serviceWorker.controller) active?.postMessage("take over");
}
