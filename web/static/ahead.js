// Prepares a phone to go on without network: the page for it, and later turns
// sealed under the codes on their plates. Browsers allow this over HTTPS and on
// localhost alone.
import { entries, within } from "./outbox.js";
import { able, register } from "./worker_here.js";

const version = import.meta.url.split("/").at(-2);

/** Fetches what the phone may hold; says whether the service answered. */
export async function fetchAhead(ballot) {
  const answer = await fetch(`${ballot}/ahead`, { cache: "no-store" });
  if (!answer.ok) return false;
  const held = await answer.json();
  held.until = Date.now() + held.rest * 1000;
  await within("ballots", "readwrite", (s) => s.put(held, ballot));
  await forget(ballot, [held.now, ...held.ahead].filter(Boolean));
  return true;
}

/** Forgets what the phone knows of turns that are over: the service has them. */
async function forget(ballot, left) {
  const turns = new URL(`${ballot}/turns/`, location.href).href;
  const waiting = (await entries()).map((e) => e.url);
  const known = left.map((v) => turns + v.id);
  for (const key of await within("ballots", "readonly", (s) => s.getAllKeys())) {
    const url = /^(?:opened|done|draft) (.*)$/.exec(key)?.[1];
    if (url?.startsWith(turns) && !known.includes(url) && !waiting.includes(url))
      await within("ballots", "readwrite", (s) => s.delete(key));
  }
}

export async function prepare(ballot) {
  await register("/t/");
  if (await fetchAhead(ballot)) await (await caches.open(`cloche-ballot-${version}`)).add(`${ballot}/offline`);
}

/** Whether the page without network is at hand. */
export const ready = async (ballot) => able &&
  Boolean(navigator.serviceWorker.controller && (await caches.match(`${ballot}/offline`)));
