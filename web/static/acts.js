// What the floor does is kept on the phone before it is sent, and is sent again, in
// order, until the service says what became of it. The service takes each once.
import { fresh, keeper } from "./keeper.js";

export const within = keeper("cloche-floor", (db) => {
  // Keys count up and are never used twice: they are the order of acts.
  db.createObjectStore("acts", { keyPath: "seq", autoIncrement: true });
  db.createObjectStore("held");
});

export const acts = () => within("acts", "readonly", (s) => s.getAll());
export const drop = (seq) => within("acts", "readwrite", (s) => s.delete(seq));
const put = (act) => within("acts", "readwrite", (s) => s.put(act));

/** Whether an act has still to be sent. */
export const waits = (act) => !act.state;

/**
 * Keeps an act: the address and the fields of its form, what it says in words, and
 * what it does at which seat and to which turn. Returns its id.
 */
export async function keep({ url, fields, says, does, seat, turn }) {
  const id = fresh();
  await within("acts", "readwrite",
    (s) => s.add({ id, at: Date.now(), url, says, does, seat, turn,
      fields: fields.filter(([name]) => name !== "id") }));
  navigator.storage?.persist?.().catch(() => {});
  return id;
}

/** A text with values in the places of their names: {name}. */
export const complete = (text, values) => text.replace(/\{(\w+)\}/g, (name, key) => values[key] ?? name);

export const fieldsOf = (form) => [...new FormData(form)].map(([name, value]) => [name, String(value)]);

/** Keeps what a form of the service's page says, with what the button says that sent it. */
export function keepForm(form, button) {
  const fields = [...fieldsOf(form), ...(button?.name ? [[button.name, button.value]] : [])];
  return keep({ url: form.action, fields, ...form.dataset,
    says: complete(form.dataset.says, Object.fromEntries(fields)) });
}

/** Sends one act; returns what became of it, or nothing when it did not arrive. */
async function send({ id, at, url, fields }) {
  const waited = Math.max(Math.floor((Date.now() - at) / 1000), 0) || 0; // what was noted was so then
  try {
    const answer = await fetch(url, {
      method: "POST", headers: { Accept: "application/json" }, cache: "no-store",
      body: new URLSearchParams([...fields, ["id", id], ["waited", waited]]), signal: AbortSignal.timeout?.(10000),
    });
    if (answer.status === 403) return { outcome: "ended" };
    const reply = await answer.json(); // a stranger's page, as of a hotel's wifi, is no JSON
    return reply.outcome ? reply : undefined;
  } catch {
    return undefined;
  }
}

let sending = Promise.resolve();

/**
 * Sends what is kept, oldest first, and notes what became of each. Returns whether
 * the network is away or the phone has to join again. An act that comes before its turn
 * holds back those after it at its seat.
 */
export function flush() {
  sending = sending.then(sendAll, sendAll);
  return sending;
}

async function sendAll() {
  const behind = new Set();
  for (const act of (await acts()).filter(waits)) {
    if (behind.has(act.seat)) continue;
    const reply = await send(act);
    if (!reply) return { away: true };
    if (reply.outcome === "ended") return { ended: true };
    if (reply.outcome === "later") {
      behind.add(act.seat);
      await put({ ...act, words: reply.words });
    } else if (["done", "repeated"].includes(reply.outcome))
      await put({ ...act, state: reply.words ? "told" : "sent", words: reply.words, to: reply.to });
    else await put({ ...act, state: "refused", words: reply.words, outcome: reply.outcome });
  }
  return {};
}

/** Forgets what the service has and the phone has shown. */
export async function prune(list) {
  for (const act of list ?? (await acts())) {
    if (act.state === "sent") await drop(act.seq);
    if (act.state === "told" && !act.past) await put({ ...act, past: true });
  }
}
