// A ballot's page keeps answers on the phone first, then sends them, and goes on
// when the service has them. What an earlier page left behind is sent too.
import { able, prepare, ready } from "./ahead.js";
import { check } from "./check.js";
import { drop, entries, flush, keep } from "./outbox.js";

const said = document.getElementById("outbox");
const ballot = said.dataset.ballot;
const form = document.querySelector("form[data-nothing]");
const RECEIVED = "cloche-received"; // told to the page that comes next

let own = null; // submission id of this page's form, once it is kept
let touched = false;
let fresh = false; // own was kept a moment ago
let wait = 0;
let timer;

function say(what) {
  const text = what ? said.dataset[what] : "";
  if (said.textContent !== text) said.textContent = text;
}

function onward(to) {
  sessionStorage.setItem(RECEIVED, "yes");
  location.replace(to);
}

/** Sends what is kept, and goes on or tries again later. */
async function go() {
  clearTimeout(timer);
  const { results, left, refused } = await flush();
  const mine = results.find((r) => r.id === own);
  if (mine?.outcome === "incomplete") { // the service's own page says what is wrong
    await drop(mine.seq);
    form.submit();
    return;
  }
  if (mine?.outcome === "too late") return onward(`${ballot}/late`);
  if (mine && left === 0 && !refused) return onward(ballot);
  if (results.length > 0 && !touched && left === 0 && !refused) return onward(ballot);
  if (left > 0) {
    say("kept");
    if (fresh && (await ready(ballot))) return location.replace(ballot); // goes on without network
    fresh = false;
    wait = Math.min(wait + 2000, 20000);
    timer = setTimeout(go, wait);
  } else if (refused) say("refused");
}

const now = () => {
  wait = 0;
  go().catch(() => {});
};

async function submit(event) {
  event.preventDefault();
  if (form.inert || !check(form)) return;
  form.inert = true;
  try {
    own = await keep(form.action, [...new FormData(form)].map(([name, value]) => [name, String(value)]));
  } catch { // the browser keeps nothing: send as without a script
    form.submit();
    return;
  }
  fresh = true;
  say("kept");
  now();
}

if (form) {
  form.addEventListener("submit", submit);
  form.addEventListener("input", () => { touched = true; });
}
for (const name of ["online", "focus", "pageshow"]) window.addEventListener(name, now);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") now();
});
if (sessionStorage.getItem(RECEIVED)) {
  sessionStorage.removeItem(RECEIVED);
  say("received");
}
// A form whose answers are kept already waits with them. One for changes may be
// sent anew.
entries().then((kept) => {
  const same = form && !form.elements.change && kept.find((e) => e.url === form.action && !e.refused);
  if (!same) return;
  own = same.id;
  form.inert = true;
}).then(now).catch(() => {});
if (able) prepare(ballot).catch(() => {}); // as far as the network goes
