// A ballot's page keeps answers on the phone first, then sends them, and goes on
// when the service has them. What an earlier page left behind is sent too.
import { prepare, ready } from "./ahead.js";
import { check } from "./check.js";
import { draft } from "./draft.js";
import { fresh } from "./keeper.js";
import { answered, drop, entries, flush, keep } from "./outbox.js";
import { able } from "./worker_here.js";

const said = document.getElementById("outbox");
const ballot = said.dataset.ballot;
const form = document.querySelector("form[data-nothing]");
const BECAME = "cloche-became"; // what became of answers, told to the page that comes next
const ASKED = "cloche-asked"; // the form for which the service was asked again

let own = null; // submission id of this page's form, once it was sent
let kept = false; // it is on the phone, or was until the service had it
let ownWords; // what to say of it, once the service said what became of it
let justKept = false;
let wait = 0;
let timer;

function say(what) {
  const text = what ? said.dataset[what] : "";
  if (said.textContent !== text) said.textContent = text;
}

/** Which words say what became of answers. The page of a tasting that is over or was withdrawn from says the rest. */
const WORDS = {
  recorded: "received", repeated: "received", corrected: "received", superseded: "stand", "too late": "stand",
  "after close": "late",
};

/** The words for several outcomes: those that say least good. */
function wordsFor(outcomes) {
  const words = outcomes.map((o) => WORDS[o]);
  return ["late", "stand", "received"].find((w) => words.includes(w)) ?? "";
}

function onward(to, words = "received") {
  if (words === "received" && form && !form.querySelector(".ask")) words = ""; // it was only tasted
  sessionStorage.setItem(BECAME, words);
  location.replace(to);
}

/** Sends what is kept, and goes on or tries again later. */
async function go() {
  clearTimeout(timer);
  const { results, ids, left, refused } = await flush();
  const mine = results.find((r) => r.id === own);
  if (mine?.outcome === "incomplete") { // the service's own page says what is wrong
    await drop(mine.seq);
    form.submit();
    return;
  }
  const words = wordsFor(results.map((r) => r.outcome));
  if (mine) ownWords = words; // asked again before the page goes, the phone has nothing more to send
  if (mine?.outcome === "too late") return onward(`${ballot}/late`, "");
  const sent = mine || (kept && !ids.includes(own)); // by this page, or in another tab
  if (sent && mine?.outcome !== "unknown") return onward(ballot, ownWords);
  if (results.some((r) => r.outcome !== "unknown") && left === 0) {
    if (!form || words === "late") return onward(ballot, words);
    say(words); // of an earlier serving's; this page is the right one
  }
  if (left > 0) {
    say("kept");
    if (justKept && (await ready(ballot))) return location.replace(ballot); // goes on without network
    justKept = false;
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
  own = fresh(); // known before it is kept: what runs meanwhile may send it
  try {
    await keep(form.action, [...new FormData(form)].map(([name, value]) => [name, String(value)]), own);
    kept = true;
  } catch { // the browser keeps nothing: send as without a script
    form.submit();
    return;
  }
  justKept = true;
  say("kept");
  now();
}

form?.addEventListener("submit", submit);
for (const name of ["online", "focus", "pageshow"]) window.addEventListener(name, now);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") now();
});
const became = sessionStorage.getItem(BECAME);
sessionStorage.removeItem(BECAME);
if (became !== "late") say(became); // the page itself says that answers came after the close

/** Whether another tab sent this form's answers after the page was written. */
async function outrun(held) {
  if (held.some((e) => e.url === form.action) || sessionStorage.getItem(ASKED) === form.action) return false;
  return answered(form.action);
}

// A form whose answers are kept already waits with them. One for changes may be
// sent anew.
entries().then(async (held) => {
  const same = form && !form.elements.change && held.find((e) => e.url === form.action && !e.refused);
  if (!same) {
    const blank = form && !form.elements.change && !document.querySelector(".problems");
    if (blank && (await outrun(held))) {
      sessionStorage.setItem(ASKED, form.action); // once: the service may have taken the answers out
      return onward(ballot);
    }
    return blank ? draft(form, form.action) : undefined;
  }
  own = same.id;
  kept = true;
  form.inert = true;
}).then(now).catch(() => {});
const lent = "lent" in said.dataset; // the house's tablet, which the next guest gets: it keeps nothing ahead
if (able && !lent) prepare(ballot).catch(() => {}); // as far as the network goes
if (lent) window.addEventListener("pageshow", ({ persisted }) => persisted && location.reload()); // given back since

/** Follows what staff note about this seat: the page shows whose turn it is. */
function follow({ data }) {
  const turn = JSON.parse(data);
  const plate = document.querySelector(".plate[data-turn]");
  if (own || form?.elements.change) return;
  if (turn.notice !== said.dataset.notice || String(turn.stage) !== said.dataset.stage
    || plate && plate.dataset.turn !== turn.turn) {
    location.replace(ballot);
    return;
  }
  if (!plate || plate.dataset.code === turn.code) return;
  plate.dataset.code = turn.code;
  const check = plate.querySelector("[data-check]");
  if (!check) { // a tray: what was chosen is kept as a draft
    sessionStorage.setItem(BECAME, "replaced");
    location.replace(ballot);
    return;
  }
  plate.querySelector(".code").lastChild.textContent = turn.code;
  check.textContent = check.dataset.check.replace("000", turn.code);
  say("replaced");
  if (able && !lent) prepare(ballot).catch(() => {});
}
if (document.querySelector(".plate[data-turn], [data-seconds]")) {
  const turns = new EventSource(`${ballot}/events`);
  turns.addEventListener("turn", follow);
  window.addEventListener("pagehide", () => turns.close(), { once: true });
}
