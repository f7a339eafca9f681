// Answers are kept on the phone before they are sent, and are sent again until
// the service says what became of them. The service takes each once.

import { fresh, keeper } from "./keeper.js";

export const within = keeper("cloche", (db) => {
  // Keys count up and are never used twice: they are the order of answers.
  db.createObjectStore("outbox", { keyPath: "seq", autoIncrement: true });
  db.createObjectStore("ballots");
});

/** Keeps the fields of a form that belongs to url, under a submission id. */
export async function keep(url, fields, id = fresh()) {
  const entry = { id, url, at: Date.now(), fields: fields.filter(([name]) => name !== "id" && name !== "seq") };
  await within("outbox", "readwrite", (s) => s.add(entry));
  await within("ballots", "readwrite", (s) => s.put(Date.now(), `done ${url}`));
  await within("ballots", "readwrite", (s) => s.delete(`draft ${url}`));
  navigator.storage?.persist?.().catch(() => {});
}

/** Whether answers to url were kept here once, sent or not. */
export const answered = async (url) => Boolean(await within("ballots", "readonly", (s) => s.getKey(`done ${url}`)));

export const entries = () => within("outbox", "readonly", (s) => s.getAll());
export const drop = (seq) => within("outbox", "readwrite", (s) => s.delete(seq));

/** Outcomes after which the service has no more use for a submission: it holds the answers, or they were taken out. */
const settled = ["recorded", "repeated", "corrected", "superseded", "too late", "after close", "withdrawn"];

/** Sends one submission; returns its outcome, or nothing when it did not arrive. */
async function send({ id, seq, url, at, fields }) {
  const waited = Math.max(Math.floor((Date.now() - at) / 1000), 0); // the rinse began when the answers were given
  try {
    const answer = await fetch(url, {
      method: "POST", headers: { Accept: "application/json" }, cache: "no-store",
      body: new URLSearchParams([...fields, ["id", id], ["seq", seq], ["waited", waited]]),
      signal: AbortSignal.timeout?.(10000),
    });
    return (await answer.json()).outcome; // a stranger's page, as of a hotel's wifi, is no JSON
  } catch {
    return undefined;
  }
}

let sending = Promise.resolve();

/**
 * Sends what is kept, oldest first. Returns what became of each, the ids of
 * all that is still on the phone, how many of them are left to send and how many
 * the service refused.
 */
export function flush() {
  sending = sending.then(sendAll, sendAll);
  return sending;
}

async function sendAll() {
  const results = [];
  for (const entry of (await entries()).filter((e) => !e.refused)) {
    const outcome = await send(entry);
    if (!outcome) break;
    results.push({ id: entry.id, seq: entry.seq, outcome });
    if (settled.includes(outcome)) await drop(entry.seq);
    else await within("outbox", "readwrite", (s) => s.put({ ...entry, refused: outcome }));
  }
  const rest = await entries();
  return { results, ids: rest.map((e) => e.id), left: rest.filter((e) => !e.refused).length,
    refused: rest.filter((e) => e.refused).length };
}
