// Prepares a phone of the floor to go on without network: the page for it, the room
// as it stands, and later turns sealed under their codes. Browsers allow this over
// HTTPS and on localhost alone.
import { acts, prune, within } from "./acts.js";
import { able, register } from "./worker_here.js";

const version = import.meta.url.split("/").at(-2);
export const OFFLINE = "/floor/offline";

/** Forgets what the phone held: it left the floor, or its code was renewed. */
export async function forget() {
  await within("held", "readwrite", (s) => s.clear());
  for (const name of await caches.keys()) await (await caches.open(name)).delete(OFFLINE);
}

/** Fetches what the phone may hold; says whether the service answered. */
export async function hold() {
  const before = (await acts()).filter((act) => act.state); // what the answer knows of
  const answer = await fetch("/floor/ahead", { cache: "no-store" });
  if (answer.status === 403) await forget();
  if (!answer.ok) return false;
  const room = await answer.json();
  const opened = (await within("held", "readonly", (s) => s.get("opened"))) ?? {};
  const boxes = Object.fromEntries(room.seats.flatMap((seat) => seat.ahead.map((turn) => [turn.id, turn.box])));
  await within("held", "readwrite", (s) => s.put(room, "room"));
  // A plate that got a new code is sealed anew: what the old one opened is forgotten.
  await within("held", "readwrite",
    (s) => s.put(Object.fromEntries(Object.entries(opened).filter(([id, { box }]) => boxes[id] === box)), "opened"));
  await prune(before);
  return true;
}

export async function prepare() {
  await register("/floor");
  if (await hold()) await (await caches.open(`cloche-floor-${version}`)).add(OFFLINE);
}

/** Whether the page without network is at hand. */
export const ready = async () => able && Boolean(navigator.serviceWorker.controller && (await caches.match(OFFLINE)));
