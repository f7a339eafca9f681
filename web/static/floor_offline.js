// The floor without network: the room as it stood, with what this phone has noted
// since. A later turn opens with the codes on its plates, which say whose it is.
import { acts, flush, keep, waits, within } from "./acts.js";
import { questions } from "./asks.js";
import { check } from "./check.js";
import { hold } from "./floor_ahead.js";
import { showKept } from "./kept.js";
import { codesIn, keyOf, unseal } from "./seal.js";

const EVERY = 5000;
const $ = (id) => document.getElementById(id);
const words = $("shell").dataset;
const load = (key) => within("held", "readonly", (s) => s.get(key));

let room = null; // as the service told it last
let opened = {}; // turns that their codes opened, by id
let noted = []; // acts that the room does not know of
let at = null; // the seat and the turn on the page
let typing = false;

/** Where a seat stands, with what this phone has noted. */
function stand(seat) {
  const turns = [...(seat.now ? [seat.now] : []), ...seat.ahead];
  const t = { ...seat, turns, i: 0, served: Boolean(seat.now?.served), gone: seat.state === "left", dropped: new Set(), changed: false };
  for (const act of noted.filter((a) => a.seat === seat.id)) {
    const i = turns.findIndex((turn) => turn.id === act.turn);
    t.changed = true;
    if (act.does === "served") [t.i, t.served] = [Math.max(i, t.i), true];
    if (act.does === "taken-back") t.served = false;
    if (act.does === "dropped") [t.served] = [false, t.dropped.add(act.turn)];
    if (["scores", "refused"].includes(act.does)) [t.i, t.served] = [Math.max(i + 1, t.i), false];
    if (act.does === "left") t.gone = true;
    if (act.does === "back") t.gone = false;
    if (act.does === "place") t.place = act.fields.find(([name]) => name === "place")[1];
    if (act.does === "rinse") t.rinse = 0;
  }
  return t;
}

/** A turn as far as this phone may show it: with codes and names when it knows them. */
function known(t, i) {
  const turn = t.turns[i];
  if (!turn || turn.code && !turn.box) return turn;
  return opened[turn.id] ? { ...turn, ...opened[turn.id] } : turn;
}

/** How many plates a turn has, whether this phone knows them or not. */
const together = (turn) => (turn.code ? turn.plates.length : turn.together);

/** What a turn is called in a sentence. */
const called = (turn) => `${together(turn) > 1 ? "tray" : "serving"} ${turn.number}`;

/** Says in words where a seat stands. */
function state(t) {
  const turn = known(t, t.i);
  if (t.gone) return "has left";
  if (!turn || t.reads) return t.changed ? "all noted here" : t.words;
  if (t.dropped.has(turn.id)) return "dropped: wait for the new code";
  if (t.served) return together(turn) > 1 ? "has the tray" : "has the plate";
  if (turn.code) return "to take out";
  return together(turn) > 1 ? `tray ${turn.number}: type all its codes` : `serving ${turn.number}: type the code on the plate`;
}

function element(name, className, text) {
  const e = document.createElement(name);
  e.className = className;
  e.textContent = text;
  return e;
}

/** A button or form that notes one act. */
async function note(t, does, says, url, turn, fields = []) {
  await keep({ url: new URL(url, location.href).href, fields, says: `Seat ${t.label}: ${says}`, does, seat: t.id, turn });
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

const served = (t, turn) => note(t, "served", `${turn.code} served`, `/floor/seats/${t.id}/turns/${turn.id}/served`, turn.id, [["code", turn.code]]);

/** What is taken to a seat, for the list: the codes as they stand, and the name to say. */
function carried(turn) {
  const code = element("span", turn.plates.length > 1 ? "code many" : "code", turn.plates.map((p) => p.code).join(" "));
  const name = element("span", "name", "");
  if (turn.plates.length > 1) name.append(element("span", "soft", `tray of ${turn.plates.length}`));
  else name.append(turn.plates[0].name ? element("q", "", turn.plates[0].name) : element("span", "soft", "no name"));
  return [code, name];
}

function card(seat) {
  const t = stand(seat);
  const turn = known(t, t.i);
  const takes = turn?.code && !t.served && !t.gone && !t.dropped.has(turn.id);
  const li = element("li", `seat ${t.gone ? "left" : !turn ? "finished" : t.served ? "tasting" : "waiting"}`, "");
  const to = element("button", "to", "");
  to.type = "button";
  const who = element("span", "who", "");
  who.append(element("strong", "", t.label), " ", element("span", "at", t.place));
  to.append(who, element("span", "state", state(t)));
  if (turn?.code && !t.dropped.has(turn.id) && !t.gone) to.append(...carried(turn));
  else to.append(element("span", "soft count", `${t.over} of ${t.of}`));
  to.addEventListener("click", () => go({ seat: t.id, i: t.i }));
  li.append(to);
  if (takes) {
    const button = act("Served", false, () => served(t, turn));
    button.append(element("span", "unseen", ` to ${t.label}`));
    li.append(button);
  }
  return li;
}

/** What is taken to a seat, in full: as the service's own page has it. */
function platesOf({ plates }) {
  if (plates.length === 1) {
    const say = element("p", "say", "");
    if (plates[0].name) say.append(element("span", "soft", "Say"), " ", element("q", "", plates[0].name));
    else say.append(element("span", "soft", "No name: say nothing of the dish."));
    return [element("p", "code", plates[0].code), say];
  }
  const list = element("ol", "tray", "");
  for (const plate of plates) {
    const li = element("li", "", "");
    li.append(element("strong", "code", plate.code));
    if (plate.known) li.append(" ", element("span", "soft", "the one to compare with"));
    if (plate.name) li.append(" ", element("q", "", plate.name));
    list.append(li);
  }
  return [element("p", "soft small", `A tray of ${plates.length}: set them down in this order, from the guest’s left.`), list];
}

/** What can be noted of the turn at a seat. */
function actsFor(t, turn) {
  const turns = `/floor/seats/${t.id}/turns/${turn.id}`;
  const code = [["code", turn.code]];
  const set = t.served && at.i === t.i;
  const list = [];
  if (!set) list.push(act("Served", true, async () => { await served(t, turn); go(null); }));
  list.push(act(turn.plates.length > 1 ? "Enter the answer" : "Enter the scores", set && !t.phone, async () => showScores(t, turn)));
  if (set) list.push(act("Not served: take that back", false, () => note(t, "taken-back", `${turn.code} taken back`, `${turns}/taken-back`, turn.id, code)));
  for (const plate of turn.plates) {
    const text = turn.plates.length > 1 ? `${plate.code} dropped: ask for a new code` : "Dropped: ask for a new code";
    list.push(act(text, false, () => note(t, "dropped", `${plate.code} dropped`, `/floor/seats/${t.id}/servings/${plate.id}/dropped`, turn.id, [["code", plate.code]])));
  }
  list.push(act("The guest does not want it", false, () => note(t, "refused", `${turn.code} refused`, `${turns}/refused`, turn.id, code)));
  return list;
}

function showSeat() {
  const t = stand(room.seats.find((s) => s.id === at.seat));
  at.i = Math.max(at.i, t.i);
  const turn = known(t, at.i);
  const open = turn?.code && !t.dropped.has(turn.id) && !t.gone;
  $("seat-label").textContent = t.label;
  $("seat-at").textContent = t.place;
  $("seat-state").textContent = at.i > t.i ? "next plate" : state(t);
  $("seat-plates").replaceChildren(...(open ? platesOf(turn) : []));
  $("seat-over").textContent = `${t.over} of ${t.of} servings were over when the network went.${t.phone ? "" : " No phone: staff enter the scores."}`;
  $("seat-dropped").hidden = !turn || !t.dropped.has(turn.id);
  const list = open ? actsFor(t, turn) : [];
  const path = `/floor/seats/${t.id}`;
  if (t.rinse) list.push(act("End the rinse", false, () => note(t, "rinse", "rinse ended", `${path}/rinse`, "", [["over", t.over]])));
  if (t.gone) list.push(act("The guest is back", false, () => note(t, "back", "the guest is back", `${path}/back`)));
  else if (turn) list.push(act("The guest has left", false, () => note(t, "left", "the guest has left", `${path}/left`)));
  $("acts").replaceChildren(...list);
  if (!typing) $("place").value = t.place;
}

/** The questions of a turn, about its own plates. */
const asksOf = (turn) => (room.asks[turn.response] ?? []).map((ask) => (turn.plates.length > 1 ? { ...ask, plates: turn.plates.map((p, i) => ({ ...p, at: i + 1 })) } : ask));

function showScores(t, turn) {
  at = { ...at, scores: turn };
  typing = false;
  const asks = asksOf(turn);
  $("asks").replaceChildren(...questions(asks, asks.length ? room.comment : "", words));
  $("scores-label").textContent = t.label;
  $("scores-what").textContent = called(turn);
  $("scores-plates").replaceChildren(...(turn.plates.length > 1 ? [] : platesOf(turn)));
  $("scores-order").hidden = turn.plates.length < 2;
  const send = $("answers").querySelector(".next");
  send.dataset.scores ??= send.textContent;
  send.textContent = send.dataset[asks.length === 0 ? "tasted" : turn.plates.length > 1 ? "chosen" : "scores"];
  $("answers").inert = false;
  show();
  window.scrollTo(0, 0);
  $("scores-head").focus({ preventScroll: true });
}

function show() {
  const seat = at && room?.seats.find((s) => s.id === at.seat);
  if (!seat) at = null;
  $("list").hidden = Boolean(at);
  $("seat").hidden = !at || Boolean(at.scores);
  $("scores").hidden = !at?.scores;
  if (!at) $("seats").replaceChildren(...(room?.seats ?? []).map(card));
  else if (!at.scores) showSeat();
}

/** Goes to a seat, or back to the list. */
function go(to) {
  at = to;
  typing = false;
  $("wrong").textContent = "";
  show();
  window.scrollTo(0, 0);
  $(at ? "seat-head" : "list-head").focus({ preventScroll: true });
}

/** Reads again what the phone holds. */
async function read() {
  room = await load("room");
  opened = (await load("opened")) ?? {};
  noted = (await acts()).filter((a) => waits(a) || (a.state === "sent" || a.state === "told") && !a.past);
  $("nothing").hidden = Boolean(room?.seats?.length);
  typesTrays(Boolean(room?.seats.some((seat) => stand(seat).turns.some((turn) => together(turn) > 1))));
  if (!at?.scores) show();
}

/** Asks for several codes where there are trays. Some phones' number keys have no space. */
function typesTrays(trays) {
  if (!trays) return;
  $("type").textContent = $("type").dataset.trays;
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
  const what = called(known(t, i));
  if (t.reads) return `That is ${what} of seat ${t.label}. The names are read to this guest first, and that needs the network.`;
  if (i < t.i) return `That is ${what} of seat ${t.label}, which is over.`;
  if (i === t.i || i === t.i + 1 && t.phone && t.served) return "";
  const first = called(known(t, t.i));
  return `That is ${what} of seat ${t.label}. ${first[0].toUpperCase()}${first.slice(1)} comes first${t.served ? ": enter its scores" : ""}.`;
}

$("unlock").addEventListener("submit", async (event) => {
  event.preventDefault();
  const found = room && (await find(codesIn($("plate").value)));
  const why = found ? early(found) : "No plate that this phone knows has this code. It may have got a new one, or belong to a guest who came later.";
  $("wrong").textContent = why;
  if (why) return $("plate").select();
  const { id, code, plates, response } = found.view;
  if (found.t.turns[found.i].box) {
    opened = { ...opened, [id]: { code, plates, response } };
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
  const turn = at.scores;
  const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
  at = null;
  await note(t, "scores", `scores for ${turn.code}`, `/floor/seats/${t.id}/scores/${turn.id}`, turn.id, fields);
  go(null);
});

$("where").addEventListener("submit", async (event) => {
  event.preventDefault();
  const t = stand(room.seats.find((s) => s.id === at.seat));
  typing = false;
  const place = $("place").value.trim();
  await note(t, "place", `sits at “${place}”`, `/floor/seats/${t.id}/place`, "", [["place", place]]);
});

for (const name of ["answers", "where"]) $(name).addEventListener("input", () => { typing = true; });
for (const button of document.querySelectorAll("[data-list]")) button.addEventListener("click", () => go(at?.scores ? { seat: at.seat, i: at.i } : null));

/** Sends what is kept; when the service answers, it goes on with its own page. */
async function again() {
  const { away, ended } = await flush();
  await showKept(ended ? words.ended : "");
  if (away || ended) return;
  const busy = typing || at?.scores || $("plate").value !== "";
  if (!busy && (await hold())) location.replace(at ? `/floor/seats/${at.seat}` : "/floor");
}

const now = () => { again().catch(() => {}); };
for (const name of ["online", "focus"]) window.addEventListener(name, now);
setInterval(now, EVERY);

const from = location.hash.slice(1) || location.pathname.match(/^\/floor\/seats\/([^/]+)/)?.[1];
await read();
if (room?.seats.some((s) => s.id === from)) go({ seat: from, i: 0 });
now();
