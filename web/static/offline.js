// The ballot without network: the serving at hand, then the next ones as the codes
// on their plates open them. Answers wait in the outbox.
import { fetchAhead } from "./ahead.js";
import { fill, questions } from "./asks.js";
import { check } from "./check.js";
import { draft } from "./draft.js";
import { flush, keep, within } from "./outbox.js";
import { keyOf, unseal } from "./seal.js";

const EVERY = 5000;
const $ = (id) => document.getElementById(id);
const words = $("shell").dataset;
const ballot = words.ballot;
const form = $("answers");
const unlock = $("unlock");
const load = (key) => within("ballots", "readonly", (s) => s.get(key));
const save = (key, value) => within("ballots", "readwrite", (s) => s.put(value, key));
const addressOf = (id) => new URL(`${ballot}/servings/${id}`, location.href).href;

let shown = null; // the serving on the page
let touched = false;
let undraft = () => {};

/** Shows one part of the page under a heading. */
function show(part, heading, code = "", name = "") {
  for (const e of [form, unlock, $("pause")]) e.hidden = e !== part;
  $("heading").textContent = heading;
  $("code").textContent = code;
  $("name").textContent = name;
  $("check").textContent = code ? fill(words.check, code) : name ? words.expect : "";
}

async function showServing(v) {
  undraft();
  shown = v;
  touched = false;
  $("asks").replaceChildren(...questions(v.asks, v.comment, words));
  form.inert = false;
  form.hidden = false;
  undraft = await draft(form, addressOf(v.id)).catch(() => () => {});
  form.querySelector(".next").textContent = v.asks.length === 1 ? words.sendOne : fill(words.sendSome, v.asks.length);
  show(form, fill(v.code ? words.serving : words.name, v.number, v.of), v.code, v.name);
}

function rest(seconds, next) {
  show($("pause"), words.pause);
  $("seconds").textContent = seconds;
  $("until").textContent = fill(words.until, next.number, next.of);
  setTimeout(step, 500);
}

/** Shows what comes next, as far as this phone knows. */
async function step() {
  shown = null;
  const held = (await load(ballot)) ?? { ahead: [] };
  let last = 0;
  let next = null;
  for (const v of [held.now, ...held.ahead]) {
    if (!v) continue;
    const done = await load(`done ${addressOf(v.id)}`);
    if (!done) next ??= v;
    else if (v.code !== "") last = Math.max(last, done); // no rinse after a name that was read
  }
  if (!next) return show(null, last ? words.all : words.without);
  const until = Math.max(last + held.pause * 1000, held.until ?? 0);
  const left = Math.min(Math.ceil((until - Date.now()) / 1000), held.pause);
  if (left > 0) return rest(left, next);
  const view = next.box ? await load(`opened ${addressOf(next.id)}`) : next;
  if (view) return showServing(view);
  shown = next;
  $("plate").value = "";
  show(unlock, fill(words.serving, next.number, next.of));
}

unlock.addEventListener("submit", async (event) => {
  event.preventDefault();
  const view = await unseal(await keyOf($("plate").value.trim(), shown.salt), shown);
  $("wrong").textContent = view ? "" : words.wrong;
  if (!view) return $("plate").select();
  await save(`opened ${addressOf(view.id)}`, view);
  showServing(view);
});

form.addEventListener("input", () => { touched = true; });
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (form.inert || !check(form)) return;
  form.inert = true;
  const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
  await keep(addressOf(shown.id), [...fields, ["code", shown.code]]);
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
  if (left === 0 && !busy && (await fetchAhead(ballot))) location.replace(ballot);
}

const now = () => { go().catch(() => {}); };
for (const name of ["online", "focus"]) window.addEventListener(name, now);
setInterval(now, EVERY);
step().then(now);
