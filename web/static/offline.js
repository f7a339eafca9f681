// The ballot without network: the turn at hand, then the next ones as the codes on
// their plates open them. Answers wait in the outbox.
import { fetchAhead } from "./ahead.js";
import { fill, questions } from "./asks.js";
import { check } from "./check.js";
import { draft } from "./draft.js";
import { oneByOne } from "./one.js";
import { flush, keep, within } from "./outbox.js";
import { codesIn, keyOf, unseal } from "./seal.js";

const EVERY = 5000;
const $ = (id) => document.getElementById(id);
const words = $("shell").dataset;
const ballot = words.ballot;
const form = $("answers");
const unlock = $("unlock");
const load = (key) => within("ballots", "readonly", (s) => s.get(key));
const save = (key, value) => within("ballots", "readwrite", (s) => s.put(value, key));
const addressOf = (id) => new URL(`${ballot}/turns/${id}`, location.href).href;
const lastAddress = new URL(`${ballot}/last`, location.href).href;

let shown = null; // the turn on the page
let touched = false;
let undraft = () => {};

/** Shows one part of the page under a heading. */
function show(part, heading, { code = "", name = "", order = "", check = "" } = {}) {
  for (const e of [form, unlock, $("pause")]) e.hidden = e !== part;
  $("heading").textContent = heading;
  $("code").textContent = code;
  $("name").textContent = name;
  $("order").textContent = order;
  $("check").textContent = check;
}

/** Which of how many a turn is, in words; how many plates it has stands outside its seal too. */
function headingOf({ read, number, of }, plates) {
  if (plates < 2) return fill(read ? words.name : words.serving, number, of);
  return of > 1 ? fill(words.round, number, of) : fill(words.sideBySide, plates);
}

/** What stands above the questions of a turn. */
function headOf({ read, plates, asks }) {
  if (read) return { name: read, check: words.expect };
  if (plates.length > 1) return { order: words.order, check: words.checkAll };
  const [{ code, name }] = plates;
  return { code, name, order: asks.length ? "" : words.taste, check: fill(words.check, code) };
}

async function showTurn(v, url = addressOf(v.id)) {
  undraft();
  shown = { ...v, url };
  touched = false;
  $("asks").replaceChildren(...questions(v.asks, v.comment, words));
  form.inert = false;
  form.hidden = false;
  undraft = await draft(form, url).catch(() => () => {});
  form.querySelector(".next").textContent = [url === lastAddress ? words.sendOne : words.tasted,
    words.sendOne][v.asks.length] ?? fill(words.sendSome, v.asks.length);
  if (form.dataset.step) oneByOne(form);
  if (url === lastAddress) show(form, words.last, { order: words.lastText });
  else show(form, headingOf(v, v.plates.length), headOf(v));
}

/** The last question, which the codes of the last turn open once that was answered; null where there is none left. */
async function lastQuestion({ last, sealed, now, ahead }) {
  if (await load(`done ${lastAddress}`)) return null;
  if (last || !sealed) return last;
  const turn = ahead.at(-1) ?? now;
  const { code } = turn?.box ? (await load(`opened ${addressOf(turn.id)}`)) ?? {} : turn ?? {};
  return code ? unseal(await keyOf(codesIn(code), sealed.salt), sealed) : null;
}

/** How many plates a turn has, sealed or not. */
const platesOf = (turn) => (turn.box ? turn.plates : turn.plates.length);

function rest(seconds, next, answered) {
  show($("pause"), words.pause);
  $("answered").hidden = !answered;
  $("seconds").textContent = seconds;
  $("until").textContent = fill(platesOf(next) > 1 ? words.untilRound : words.until, next.number, next.of);
  setTimeout(step, 500);
}

/** Shows what comes next, as far as this phone knows. */
async function step() {
  shown = null;
  const held = (await load(ballot)) ?? { ahead: [] };
  let last = 0;
  let answered = held.answered;
  let next = null;
  for (const v of [held.now, ...held.ahead]) {
    if (!v) continue;
    const done = await load(`done ${addressOf(v.id)}`);
    if (!done) next ??= v;
    else if (v.code !== "" && done > last) { // no rinse after a name that was read
      last = done;
      answered = (v.asks ?? (await load(`opened ${addressOf(v.id)}`))?.asks)?.length > 0;
    }
  }
  if (!next) {
    const question = await lastQuestion(held);
    return question ? showTurn(question, lastAddress) : show(null, last ? words.all : words.without);
  }
  const until = Math.max(last + held.pause * 1000, held.until ?? 0);
  const left = Math.min(Math.ceil((until - Date.now()) / 1000), held.pause);
  if (left > 0) return rest(left, next, answered);
  const view = next.box ? await load(`opened ${addressOf(next.id)}`) : next;
  if (view) return showTurn(view);
  shown = next;
  $("plate").value = "";
  $("plate").maxLength = next.codes === 1 ? 3 : 4 * next.codes + 8;
  $("plate").inputMode = next.codes === 1 ? "numeric" : "text"; // some phones' number keys have no space
  $("type").textContent = next.codes > 1 ? words.typeCodes : next.plates > 1 ? words.typeFirst : words.typeCode;
  show(unlock, headingOf(next, next.plates));
  const typed = sessionStorage.getItem("cloche-typed"); // while the network went
  sessionStorage.removeItem("cloche-typed");
  if (!typed) return;
  $("plate").value = typed;
  unlock.requestSubmit();
}

/** Tells the service that the plate on the page was opened here: it need not be typed again. */
async function tellOpened() {
  if (!shown?.code || form.hidden) return;
  await fetch(`${ballot}/plate`, {
    method: "POST", headers: { Accept: "application/json" }, cache: "no-store",
    body: new URLSearchParams({ turn: shown.id, code: shown.code }),
  });
}

unlock.addEventListener("submit", async (event) => {
  event.preventDefault();
  const view = await unseal(await keyOf(codesIn($("plate").value), shown.salt), shown);
  $("wrong").textContent = view ? "" : shown.codes === 1 ? words.wrong : words.wrongCodes;
  if (!view) return $("plate").select();
  await save(`opened ${addressOf(view.id)}`, view);
  showTurn(view);
});

form.addEventListener("input", () => { touched = true; });
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (form.inert || !check(form)) return;
  form.inert = true;
  const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
  await keep(shown.url, [...fields, ["code", shown.code]]);
  $("outbox").textContent = words.kept;
  window.scrollTo(0, 0);
  await step();
  now();
});

/** Sends what is kept; when the service answers, it goes on with its own page. */
async function go() {
  const { left, refused } = await flush();
  $("outbox").textContent = left > 0 ? words.kept : refused ? words.refused : "";
  const busy = touched && !form.hidden && !form.inert || $("plate").value !== "" && !unlock.hidden;
  if (left > 0 || busy) return;
  await tellOpened();
  if (await fetchAhead(ballot)) location.replace(ballot);
}

const now = () => { go().catch(() => {}); };
for (const name of ["online", "focus"]) window.addEventListener(name, now);
setInterval(now, EVERY);
step().then(now);
