// The floor's pages keep what is done on the phone first, then send it, and go on
// when the service has it. Without network it stays on the phone and is sent later.
import { acts, drop, flush, keepForm, prune, waits } from "./acts.js";
import { check } from "./check.js";
import { able, forget, OFFLINE, prepare, ready } from "./floor_ahead.js";
import { showKept } from "./kept.js";

const AWAY = "No network: go on. It is sent when the network is back.";
const ENDED = "This phone has to join again with its link and code. What is kept stays here and is sent then.";

let wait = 0;
let timer;

/** Sends what is kept. own is the id of an act of this page, form is its form. */
async function go(own, form) {
  clearTimeout(timer);
  const { results, away, ended } = await flush();
  const mine = results.find((r) => r.id === own);
  if (mine?.outcome === "incomplete") { // the service's own page says what is wrong
    await drop(mine.seq);
    form.submit();
    return;
  }
  if (mine?.to) { // the page that follows says what there is to know
    await drop(mine.seq);
    location.assign(mine.to);
    return;
  }
  if (!able) await prune();
  const left = await showKept(away && own ? AWAY : ended ? ENDED : "");
  if (own) document.getElementById("kept-note").scrollIntoView({ block: "nearest" });
  if (away && own && (await ready())) return location.assign(location.pathname === "/floor" ? OFFLINE : `${OFFLINE}#${form.dataset.seat}`);
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
  let own;
  try {
    own = await keepForm(form);
  } catch { // the browser keeps nothing: send as without a script
    form.submit();
    return;
  }
  wait = 0;
  await go(own, form);
}

/** Signing out forgets what the phone holds, and waits for what is not sent. */
async function leave(event) {
  if (event.target.dataset.sure) return;
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
