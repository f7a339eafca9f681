// The floor without network: the room as it stood, with what this phone has noted
// since. Where a seat can stand, what can be noted there and what that leads to comes
// from the service with the room; here it is replayed. A later turn opens with the codes
// on its plates, which say whose it is.
import { acts, complete, fieldsOf, flush, keep, waits, within } from "./acts.js";
import { questions } from "./asks.js";
import { check } from "./check.js";
import { hold } from "./floor_ahead.js";
import { showKept } from "./kept.js";
import { say } from "./say.js";
import { codesIn, keyOf, unseal } from "./seal.js";

const EVERY = 5000;
const $ = (id) => document.getElementById(id);
const words = $("shell").dataset;
const load = (key) => within("held", "readonly", (s) => s.get(key));

let room = null; // as the service told it last
let opened = {}; // turns that their codes opened, by id
let noted = []; // acts that the room does not know of
let at = null; // the seat and the turn on the page
let order = null; // of the seats in the list, by id
let typing = false;
let typedTurn = ""; // the turn whose code was typed last

/** A seat as the service told it, and then as each act that this phone has noted left it. */
function stand(seat) {
  const t = { ...seat, turns: [...(seat.now ? [seat.now] : []), ...seat.ahead], i: 0 };
  for (const act of noted.filter((a) => a.seat === seat.id)) {
    const rule = room.acts[act.does];
    const i = rule?.turn ? t.turns.findIndex((turn) => turn.id === act.turn) : t.i;
    if (!rule || i < t.i) continue; // of a turn that is over
    t.i = rule.last ? i + 1 : i;
    if (rule.sets) t[rule.sets] = act.fields.find(([name]) => name === rule.sets)[1];
    if (rule.sets === "table") t.chair = 0; // the service gives a seat there
    const to = rule.undoes ? t.was : rule.last && !t.turns[t.i] ? rule.last : rule.to;
    if (to) [t.was, t.state] = [t.state, to];
  }
  return t;
}

/** Where a seat stands with one of its turns. */
const standing = (t, i) => room.standings[i > t.i ? room.later : t.state];

/** A turn as far as this phone may show it: with codes and names when it knows them. */
function known(t, i) {
  const turn = t.turns[i];
  if (!turn || turn.code && !turn.box) return turn;
  return opened[turn.id] ? { ...turn, ...opened[turn.id] } : turn;
}

/** How many plates a turn has, whether this phone knows them or not. */
const together = (turn) => (turn.code ? turn.plates.length : turn.together);

/** What a turn is called in a sentence. */
const called = (turn) => say(together(turn) > 1 ? "tray" : "serving", turn);

/** What of a text is said of a turn: it has one form for a plate and one for a tray. */
const said = (forms, turn, values) => complete(forms[turn && together(turn) > 1 ? 1 : 0], { ...turn, ...values });

/** Says in words where a seat stands. */
function state(t, i) {
  const row = standing(t, i);
  const turn = known(t, i);
  const forms = turn && !turn.code && row.sealed || row.known;
  return forms ? said(forms, turn) : t.words;
}

/** Who sits at a seat: table and seat where both are known, else the guest's number. */
const guest = (t) => say(t.table && t.chair ? "atTable" : "guest", t);

/** The same in a sentence. */
const forGuest = (t) => say(t.table && t.chair ? "forTable" : "forGuest", t);

/** What else is known of where somebody sits. */
const sits = (t) => [t.table && !t.chair && say("table", t), t.place].filter(Boolean).join(", ");

function element(name, className, text) {
  const e = document.createElement(name);
  e.className = className;
  e.textContent = text;
  return e;
}

/** Notes an act of a seat: of a turn and a plate of it, where it is of one; given are the fields of a form. */
async function note(t, does, { turn, plate, given = [] } = {}) {
  const rule = room.acts[does];
  const values = {
    ...t, who: guest(t), turn: turn?.id, plate: plate?.id, code: plate?.code ?? turn?.code, ...Object.fromEntries(given)
  };
  const put = (text) => complete(text, values);
  await keep({
    url: new URL(put(`/floor/seats/{id}/${rule.path}`), location.href).href,
    fields: rule.field ? [rule.field.map(put), ...given] : given,
    says: put(say("ofSeat", { what: rule.says })), does, seat: t.id, turn: turn?.id ?? "",
  });
  await read();
  now();
}

function act(text, isNext, run) {
  const button = element("button", isNext ? "next" : "", text);
  button.type = "button";
  button.addEventListener("click", async () => {
    button.disabled = true;
    await run();
  });
  return button;
}

/** A name to say, in the language of the guest who is told it. */
function quoted(name, { lang }) {
  const q = element("q", "", name);
  q.lang = lang;
  return q;
}

/** What is taken to a seat, for the list: the codes as they stand, and the name to say. */
function carried(t, turn) {
  const code = element("span", turn.plates.length > 1 ? "code many" : "code", turn.plates.map((p) => p.code).join(" "));
  const name = element("span", "name", "");
  if (turn.plates.length > 1) name.append(element("span", "soft", say("trayOf", { n: turn.plates.length })));
  else name.append(turn.plates[0].name ? quoted(turn.plates[0].name, t)
    : element("span", "soft", say("noName")));
  return [code, name];
}

/** What of a turn can be noted and shown: its codes have to be known. */
const open = (t, i) => standing(t, i).acts.some((does) => room.acts[does].turn) && known(t, i)?.code;

/** The seats, those that wait first, as they stood when the list was opened: nothing moves under the thumb. */
function inNeed() {
  const seats = room?.seats ?? [];
  const waits = (seat) => {
    const t = stand(seat);
    return standing(t, t.i).acts.some((does) => room.acts[does].card && room.acts[does].main);
  };
  order ??= [...seats.filter(waits), ...seats.filter((seat) => !waits(seat))].map((seat) => seat.id);
  return [...seats].sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id));
}

function card(seat) {
  const t = stand(seat);
  const turn = known(t, t.i);
  const li = element("li", `seat ${standing(t, t.i).look}`, "");
  const to = element("button", "to", "");
  to.type = "button";
  const who = element("span", "who", "");
  const number = t.table && t.chair ? `(${t.label})` : "";
  who.append(element("strong", "", guest(t)), " ", element("span", "at", [number, sits(t)].filter(Boolean).join(" ")));
  to.append(who, element("span", "state", state(t, t.i)));
  if (open(t, t.i)) to.append(...carried(t, turn));
  else to.append(element("span", "soft count", say("over", t)));
  to.addEventListener("click", () => go({ seat: t.id, i: t.i }));
  li.append(to);
  const [does] = standing(t, t.i).acts.filter((name) => room.acts[name].card && room.acts[name].main);
  if (does && open(t, t.i)) {
    const [text, unseen] = room.acts[does].card;
    const button = act(text, false, () => note(t, does, { turn }));
    button.append(element("span", "unseen", complete(unseen, t)));
    li.append(button);
  }
  return li;
}

/** What is taken to a seat, in full: as the service's own page has it. */
function platesOf(t, { plates }) {
  if (plates.length === 1) {
    const line = element("p", "say", "");
    if (plates[0].name) line.append(element("span", "soft", say("say")), " ", quoted(plates[0].name, t));
    else line.append(element("span", "soft", say("sayNothing")));
    return [element("p", "code", plates[0].code), line];
  }
  const list = element("ol", "tray", "");
  for (const plate of plates) {
    const li = element("li", "", "");
    li.append(element("strong", "code", plate.code));
    if (plate.known) li.append(" ", element("span", "soft", say("compare")));
    if (plate.name) li.append(" ", quoted(plate.name, t));
    list.append(li);
  }
  return [element("p", "soft small", say("setInOrder", { n: plates.length })), list];
}

/** The buttons of what can be noted at a seat now: of what went wrong, or of all else. */
function actsFor(t, folded) {
  const turn = known(t, at.i);
  const list = [];
  let main = true; // until one stands out
  for (const does of standing(t, at.i).acts) {
    const rule = room.acts[does];
    if (rule.turn && !turn?.code || Boolean(rule.fold) !== folded) continue;
    for (const plate of rule.plate ? turn.plates : [undefined]) {
      const button = act(said(rule.text, turn, plate), main && rule.main && !(rule.own && t.phone), async () => {
        if (rule.asks) return showAsks(t, turn, does);
        await note(t, does, { turn: rule.turn && turn, plate });
        if (rule.list) go(null);
      });
      list.push(button);
    }
    if (rule.main) main = false;
  }
  return list;
}

function showSeat() {
  const t = stand(room.seats.find((s) => s.id === at.seat));
  at.i = Math.max(at.i, t.i);
  const shown = open(t, at.i);
  $("seat-label").textContent = guest(t);
  $("seat-at").textContent = sits(t);
  $("seat-state").textContent = state(t, at.i);
  $("seat-tongue").hidden = !t.tongue || !shown;
  $("seat-tongue").querySelector("strong").textContent = t.tongue;
  $("seat-plates").replaceChildren(...(shown ? platesOf(t, known(t, at.i)) : []));
  $("seat-over").textContent = [say("wereOver", t), t.phone ? "" : say("noPhone")].join(" ");
  $("seat-note").textContent = standing(t, at.i).note ?? "";
  $("seat-note").hidden = !standing(t, at.i).note;
  $("acts").replaceChildren(...actsFor(t, false));
  const wrongs = actsFor(t, true);
  $("wrong-acts").replaceChildren(...wrongs);
  $("wrongs").hidden = wrongs.length === 0;
  if (!typing) [$("place").value, $("table").value] = [t.place, t.table];
}

/** The questions of a turn, in the order in which this guest gets them. */
function inOrder(asks, order) {
  return (order ?? []).length === 0 ? asks : order.map(({ field, values }) => {
    const ask = asks.find((a) => a.field === field);
    return values ? { ...ask, values, labels: values.map((v) => ask.labels[ask.values.indexOf(v)]) } : ask;
  });
}

/** The questions of a turn of a seat, about its own plates. */
const asksOf = (t, turn) => inOrder(room.in[t.lang]?.asks[turn.response] ?? [], room.orders[turn.id]).map((ask) =>
    (turn.plates.length > 1 ? { ...ask, plates: turn.plates.map((p, i) => ({ ...p, at: i + 1 })) } : ask));

function showAsks(t, turn, does) {
  at = { ...at, asked: turn, does };
  typing = false;
  const asks = asksOf(t, turn);
  $("asks").replaceChildren(...questions(asks, asks.length ? room.in[t.lang].comment : "", words));
  $("scores-label").textContent = guest(t);
  $("scores-what").textContent = called(turn);
  $("scores-plates").replaceChildren(...(turn.plates.length > 1 ? [] : platesOf(t, turn)));
  $("scores-order").hidden = turn.plates.length < 2;
  const send = $("answers").querySelector(".next");
  send.dataset.rated ??= send.textContent;
  send.textContent = send.dataset[asks.length === 0 ? "tasted" : turn.plates.length > 1 ? "chosen" : "rated"];
  $("answers").inert = false;
  gate(turn.gate > 0 && typedTurn !== turn.id, turn);
  show();
  window.scrollTo(0, 0);
  $("scores-head").focus({ preventScroll: true });
}

/** Shows the questions of a turn, or first asks for the code on its plate. */
function gate(shut, turn) {
  $("gate").hidden = !shut;
  $("answers").hidden = shut;
  if (shut) $("scores-plates").replaceChildren(); // its code stands on the plate, and nowhere here
  $("gate-code").value = $("gate-wrong").textContent = "";
  $("gate-code").inputMode = turn.gate > 1 ? "text" : "numeric";
}

$("gate").addEventListener("submit", (event) => {
  event.preventDefault();
  const { asked: turn, does } = at;
  const codes = codesIn($("gate-code").value);
  if (codes !== turn.code && (turn.gate > 1 || codes !== turn.plates[0].code)) {
    $("gate-wrong").textContent = $("gate-wrong").dataset.wrong;
    return $("gate-code").select();
  }
  typedTurn = turn.id;
  showAsks(stand(room.seats.find((s) => s.id === at.seat)), turn, does);
});

function show() {
  const seat = at && room?.seats.find((s) => s.id === at.seat);
  if (!seat) at = null;
  $("list").hidden = Boolean(at);
  $("seat").hidden = !at || Boolean(at.asked);
  $("scores").hidden = !at?.asked;
  if (!at) $("seats").replaceChildren(...inNeed().map(card));
  else if (!at.asked) showSeat();
}

/** Goes to a seat, or back to the list. */
function go(to) {
  at = to;
  order = null;
  typing = false;
  $("wrong").textContent = "";
  show();
  window.scrollTo(0, 0);
  $(at ? "seat-head" : "list-head").focus({ preventScroll: true });
}

/** Reads again what the phone holds, all of it before anything is said of a part. */
async function read() {
  const [told, open, kept] = await Promise.all([load("room"), load("opened"), acts()]);
  room = told;
  opened = open ?? {};
  noted = kept.filter((a) => waits(a) || (a.state === "sent" || a.state === "told") && !a.past);
  $("nothing").hidden = Boolean(room?.seats?.length);
  typesTrays((room?.seats ?? []).flatMap((seat) => seat.ahead).filter((turn) => together(turn) > 1));
  if (!at?.asked) show();
}

/** Asks for the codes that open trays, where there are any. Some phones' number keys have no space. */
function typesTrays(trays) {
  if (trays.length === 0) return;
  const several = trays.some((turn) => turn.codes > 1);
  $("type").textContent = $("type").dataset[several ? "trays" : "first"];
  if (!several) return;
  $("plate").inputMode = "text";
  $("plate").maxLength = 40;
}

/** Finds the seat that plates belong to by their codes; that of one of a tray, once the tray is open here. */
async function find(codes) {
  for (const seat of room.seats) {
    const t = stand(seat);
    const i = t.turns.findIndex((_, k) => {
      const turn = known(t, k);
      return turn.code && (turn.code === codes || turn.plates.some((p) => p.code === codes));
    });
    if (i >= 0) return { t, i, view: known(t, i) };
  }
  if (!room.salt) return null;
  const key = await keyOf(codes, room.salt);
  for (const seat of room.seats) {
    for (const [k, turn] of seat.ahead.entries()) {
      const view = await unseal(key, turn);
      if (view) return { t: stand(seat), i: k + (seat.now ? 1 : 0), view };
    }
  }
  return null;
}

/** Why a turn may not be shown yet; "" when it may. */
function early({ t, i }) {
  const row = standing(t, t.i);
  const of = { what: called(known(t, i)), who: forGuest(t) };
  if (row.bars) return `${say("thatIs", of)} ${row.bars}`;
  if (i < t.i) return say("thatIsOver", of);
  if (i === t.i || i === t.i + 1 && t.phone && row.onward) return "";
  const first = called(known(t, t.i));
  return say("comesFirst", { ...of, first: `${first[0].toUpperCase()}${first.slice(1)}`, then: row.first ?? "" });
}

$("unlock").addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!room) await read(); // typed before the page had read what the phone holds
  const found = room && (await find(codesIn($("plate").value)));
  const why = found ? early(found) : say("unknownCode");
  $("wrong").textContent = why;
  if (why) return $("plate").select();
  const { id, code, plates, response } = found.view;
  typedTurn = id;
  const { box } = found.t.turns[found.i];
  if (box) {
    opened = { ...opened, [id]: { code, plates, response, box } };
    await within("held", "readwrite", (s) => s.put(opened, "opened"));
  }
  $("plate").value = "";
  go({ seat: found.t.id, i: found.i });
});

$("answers").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = $("answers");
  if (form.inert || !check(form)) return;
  form.inert = true;
  const t = stand(room.seats.find((s) => s.id === at.seat));
  const { asked: turn, does } = at;
  at = null;
  await note(t, does, { turn, given: [...fieldsOf(form), ["code", turn.code ?? ""]] });
  go(null);
});

for (const form of [$("where"), $("at-table")]) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const t = stand(room.seats.find((s) => s.id === at.seat));
    typing = false;
    await note(t, form.dataset.does, { given: fieldsOf(form).map(([name, value]) => [name, value.trim()]) });
  });
}

for (const name of ["answers", "where", "at-table"]) $(name).addEventListener("input", () => { typing = true; });
for (const button of document.querySelectorAll("[data-list]"))
  button.addEventListener("click", () => go(at?.asked ? { seat: at.seat, i: at.i } : null));

/** Sends what is kept; when the service answers, it goes on with its own page. */
async function again() {
  const { away, ended } = await flush();
  await showKept(ended ? say("ended") : "");
  if (away || ended) return;
  const busy = typing || at?.asked || $("plate").value !== "";
  if (!busy && (await hold())) location.replace(at ? `/floor/seats/${at.seat}` : "/floor");
}

const now = () => { again().catch(() => {}); };
for (const name of ["online", "focus"]) window.addEventListener(name, now);
setInterval(now, EVERY);

const from = location.hash.slice(1) || location.pathname.match(/^\/floor\/seats\/([^/]+)/)?.[1];
await read();
if (room?.seats.some((s) => s.id === from)) go({ seat: from, i: 0 });
const typed = location.pathname === "/floor/plate" && new URLSearchParams(location.search).get("code");
if (typed) { // typed while the network went
  $("plate").value = typed;
  $("unlock").requestSubmit();
}
now();
