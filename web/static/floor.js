// The floor's pages keep what is done on the phone first, then send it, and go on
// when the service has it. Without network it stays on the phone and is sent later.
import { acts, drop, flush, keepForm, prune, waits } from "./acts.js";
import { check } from "./check.js";
import { able, forget, OFFLINE, prepare, ready } from "./floor_ahead.js";
import { showKept } from "./kept.js";

const AWAY = "No network: go on. It is sent when the network is back.";
const ENDED = "This phone has to join again with its link and code. What is kept stays here and is sent then.";

let own = null; // the act of this page: its id and its form
let leaving = false;
let wait = 0;
let timer;

/** Goes on when the service has the act of this page. */
async function goesOn() {
  if (leaving) return true;
  const mine = own && (await acts()).find((act) => act.id === own.id);
  if (mine?.outcome === "incomplete") { // the service's own page says what is wrong
    await drop(mine.seq);
    own.form.submit();
    return true;
  }
  if (!own || mine && !mine.to) return false;
  leaving = true;
  if (mine) await drop(mine.seq); // the page that follows says what there is to know
  location.assign(mine?.to ?? `/floor/seats/${own.form.dataset.seat}`);
  return true;
}

/** Sends what is kept, and goes on or tries again later. */
async function go() {
  clearTimeout(timer);
  const { away, ended } = await flush();
  if (await goesOn()) return;
  if (!able) await prune();
  const left = await showKept(away && own ? AWAY : ended ? ENDED : "");
  if (away && own && (await ready())) return location.assign(location.pathname === "/floor" ? OFFLINE : `${OFFLINE}#${own.form.dataset.seat}`);
  if (left === 0) return;
  wait = Math.min(wait + 2000, 20000);
  timer = setTimeout(() => go().catch(() => {}), wait);
}

function now() {
  wait = 0;
  go().catch(() => {});
}

async function submit(event) {
  const form = event.target;
  if (event.defaultPrevented || !form.dataset.does) return;
  event.preventDefault();
  if (form.inert || form.dataset.nothing && !check(form)) {
    form.querySelector("[aria-disabled]")?.removeAttribute("aria-disabled");
    return;
  }
  form.inert = true;
  try {
    own = { id: await keepForm(form), form };
  } catch { // the browser keeps nothing: send as without a script
    form.submit();
    return;
  }
  now();
}

/** Signing out forgets what the phone holds, and waits for what is not sent. */
async function leave(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
  await flush();
  if ((await acts()).some(waits)) return showKept("Not signed out: this phone keeps notes that were not sent.");
  if (able) await forget();
  event.target.submit();
}

document.addEventListener("submit", (event) => submit(event).catch(() => {}));
document.querySelector('form[action="/floor/leave"]')?.addEventListener("submit", leave, { capture: true });
for (const name of ["online", "focus", "pageshow"]) window.addEventListener(name, now);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") now();
});
now();
if (able) prepare().catch(() => {}); // as far as the network goes
