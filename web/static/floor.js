// The floor's pages keep what is done on the phone first, then send it, and go on
// when the service has it. Without network it stays on the phone and is sent later.
import { acts, drop, flush, keepForm, prune, waits } from "./acts.js";
import { check } from "./check.js";
import { forget, OFFLINE, prepare, ready } from "./floor_ahead.js";
import { showKept } from "./kept.js";
import { say } from "./say.js";
import { able } from "./worker_here.js";

const live = document.getElementById("live");
let own = null; // the act of this page, after which another page follows: its id and its form
const inPlace = new Map(); // acts that change one seat of the list: their seats by id
const busy = new Set(); // seats for which one is under way
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

/** Shows on the list for which seats an act is under way. */
function mark() {
  for (const form of live?.querySelectorAll("form[data-stays]") ?? []) {
    if (!busy.has(form.dataset.seat)) continue;
    form.closest(".seat")?.classList.add("going");
    form.querySelector("button").setAttribute("aria-disabled", "true");
  }
}

/** Asks for the list again once the service has what was done there. */
async function settle() {
  const all = await acts();
  let any = false;
  for (const [id, seat] of inPlace) {
    const mine = all.find((act) => act.id === id);
    if (mine && waits(mine)) continue;
    if (mine?.state === "sent") await drop(mine.seq);
    inPlace.delete(id);
    busy.delete(seat);
    any = true;
  }
  if (any) live.dispatchEvent(new Event("stale"));
}

/** Sends what is kept, and goes on or tries again later. */
async function go() {
  clearTimeout(timer);
  const { away, ended } = await flush();
  if (await goesOn()) return;
  await settle();
  if (!able) await prune();
  const left = await showKept(away && (own || busy.size) ? say("away") : ended ? say("ended") : "");
  if (away && (own || busy.size) && (await ready()))
    return location.assign(location.pathname === "/floor" ? OFFLINE : `${OFFLINE}#${own.form.dataset.seat}`);
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
  const { seat, stays } = form.dataset;
  if (stays !== undefined) {
    if (busy.has(seat)) return;
    busy.add(seat);
    mark();
  } else form.inert = true;
  try {
    const id = await keepForm(form, event.submitter);
    if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(40);
    if (stays !== undefined) inPlace.set(id, seat);
    else own = { id, form };
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
  if ((await acts()).some(waits)) return showKept(say("unsent"));
  if (able) await forget();
  event.target.submit();
}

document.addEventListener("submit", (event) => submit(event).catch(() => {}));
live?.addEventListener("renewed", mark);
document.querySelector('form[action="/floor/leave"]')?.addEventListener("submit", leave, { capture: true });
for (const name of ["online", "focus", "pageshow"]) window.addEventListener(name, now);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") now();
});
showKept().catch(() => {}).finally(now); // what is kept is read before anything is sent
if (able) prepare().catch(() => {}); // as far as the network goes
