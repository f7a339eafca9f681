// The kitchen's page keeps what is noted there on the device first, then sends it. Without
// network it stays on the device, which the page says, and is sent when the network is back.
import { acts, drop, flush, keepForm, prune, waits } from "./acts.js";
import { showKept } from "./kept.js";
import { say } from "./say.js";

const live = document.getElementById("live");
const asked = new Map(); // forms whose answer may have to be typed again, by the id of their act
let wait = 0;
let timer;

/** Shows the service's own page where it would ask again. */
async function askAgain() {
  for (const act of (await acts()).filter(({ id, outcome }) => outcome === "incomplete" && asked.has(id))) {
    await drop(act.seq);
    const form = asked.get(act.id);
    form.inert = false;
    form.submit();
    return true;
  }
  return false;
}

/** Without network a form is there for the next entry. */
function free() {
  for (const form of asked.values()) {
    form.reset();
    form.inert = false;
  }
  asked.clear();
}

async function go() {
  clearTimeout(timer);
  const before = (await acts()).filter(waits).length;
  const { away, ended } = await flush();
  if (await askAgain()) return;
  const mine = (await acts()).filter(({ id }) => asked.has(id));
  if (away) free();
  await prune();
  const left = await showKept(away ? say("away") : ended ? say("ended") : "");
  if (mine.some(({ state }) => state === "sent")) return location.reload(); // the form is empty again
  if (left < before) live.dispatchEvent(new Event("stale"));
  if (left === 0) return;
  wait = Math.min(wait + 2000, 20000);
  timer = setTimeout(now, wait, wait);
}

function now(after = 0) {
  wait = after;
  go().catch(() => {});
}

async function submit(event) {
  const form = event.target;
  if (event.defaultPrevented || !form.dataset.does) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (form.inert) return;
  form.inert = true;
  try {
    const id = await keepForm(form);
    if (form.dataset.does === "measure") asked.set(id, form);
  } catch { // the browser keeps nothing: send as without a script
    form.submit();
    return;
  }
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(40);
  await showKept();
  now();
}

/** Signing out waits for what is not sent. */
async function leave(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
  await flush();
  if ((await acts()).some(waits)) return showKept(say("unsent"));
  event.target.submit();
}

document.addEventListener("submit", (event) => submit(event).catch(() => {}), { capture: true });
document.querySelector('form[action="/kitchen/leave"]')?.addEventListener("submit", leave, { capture: true });
for (const name of ["online", "focus", "pageshow"]) window.addEventListener(name, () => now());
showKept().catch(() => {}).finally(() => now());
