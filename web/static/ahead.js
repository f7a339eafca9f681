// Prepares a phone to go on without network: the page for it, and later servings
// sealed under the codes on their plates. Browsers allow this over HTTPS and on
// localhost alone.
import { within } from "./outbox.js";

const version = import.meta.url.split("/").at(-2);

/** Whether this browser may go on without network here. */
export const able = window.isSecureContext && "serviceWorker" in navigator && "subtle" in crypto;

/** Fetches what the phone may hold; says whether the service answered. */
export async function fetchAhead(ballot) {
  const answer = await fetch(`${ballot}/ahead`, { cache: "no-store" });
  if (!answer.ok) return false;
  const held = await answer.json();
  await within("ballots", "readwrite", (s) => s.put(held, ballot));
  return true;
}

export async function prepare(ballot) {
  await navigator.serviceWorker.register("/worker.js", { scope: "/t/" });
  if (await fetchAhead(ballot)) await (await caches.open(`cloche-${version}`)).add(`${ballot}/offline`);
}

/** Whether the page without network is at hand. */
export const ready = async (ballot) => able && Boolean(navigator.serviceWorker.controller && (await caches.match(`${ballot}/offline`)));

const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

/** Opens a sealed serving with the code on its plate; null when the code is another. */
export async function unseal(sealed, code) {
  const word = await crypto.subtle.importKey("raw", new TextEncoder().encode(code), "PBKDF2", false, ["deriveKey"]);
  const key = await crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt: bytes(sealed.salt), iterations: sealed.iterations },
    word, { name: "AES-GCM", length: 256 }, false, ["decrypt"]);
  try {
    const open = await crypto.subtle.decrypt({ name: "AES-GCM", iv: bytes(sealed.nonce), additionalData: new TextEncoder().encode(sealed.id) }, key, bytes(sealed.box));
    return JSON.parse(new TextDecoder().decode(open));
  } catch {
    return null;
  }
}
