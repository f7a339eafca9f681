// The floor without network: the room as it stood, with what this phone has noted
// since. A later plate opens with the code on it, which says whose it is.
import { acts, flush, keep, waits, within } from "./acts.js";
import { questions } from "./asks.js";
import { check } from "./check.js";
import { hold } from "./floor_ahead.js";
import { showKept } from "./kept.js";
import { keyOf, unseal } from "./seal.js";

const EVERY = 5000;
const $ = (id) => document.getElementById(id);
const words = $("shell").dataset;
const load = (key) => within("held", "readonly", (s) => s.get(key));

let room = null; // as the service told it last
let opened = {}; // plates that their codes opened, by id
let noted = []; // acts that the room does not know of
let at = null; // the seat and the plate on the page
let typing = false;

/** Where a seat stands, with what this phone has noted. */
function stand(seat) {
  const plates = [...(seat.now ? [seat.now] : []), ...seat.ahead];
  const t = { ...seat, plates, i: 0, served: Boolean(seat.now?.served), gone: seat.state === "left", dropped: new Set(), changed: false };
  for (const act of noted.filter((a) => a.seat === seat.id)) {
    const i = plates.findIndex((p) => p.id === act.serving);
    t.changed = true;
    if (act.does === "served") [t.i, t.served] = [Math.max(i, t.i), true];
    if (act.does === "taken-back") t.served = false;
    if (act.does === "dropped") [t.served] = [false, t.dropped.add(act.serving)];
    if (["scores", "refused"].includes(act.does)) [t.i, t.served] = [Math.max(i + 1, t.i), false];
    if (act.does === "left") t.gone = true;
    if (act.does === "back") t.gone = false;
    if (act.does === "place") t.place = act.fields.find(([name]) => name === "place")[1];
    if (act.does === "rinse") t.rinse = 0;
  }
  return t;
}

/** A plate as far as this phone may show it: with code and name when it knows them. */
function known(t, i) {
  const plate = t.plates[i];
  if (!plate || plate.code && !plate.box) return plate;
  return opened[plate.id] ? { ...plate, ...opened[plate.id] } : plate;
}

/** Says in words where a seat stands. */
function state(t) {
  const plate = known(t, t.i);
  if (t.gone) return "has left";
  if (!plate || t.reads) return t.changed ? "all noted here" : t.words;
  if (t.dropped.has(plate.id)) return "dropped: wait for the new code";
  if (t.served) return "has the plate";
  if (plate.code) return "to take out";
  return `serving ${plate.number}: type the code on the plate`;
}

function element(name, className, text) {
  const e = document.createElement(name);
  e.className = className;
  e.textContent = text;
  return e;
}

/** A button or form that notes one act. */
async function note(t, does, says, url, serving, fields = []) {
  await keep({ url: new URL(url, location.href).href, fields, says: `Seat ${t.label}: ${says}`, does, seat: t.id, serving });
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

const served = (t, plate) => note(t, "served", `${plate.code} served`, `/floor/seats/${t.id}/servings/${plate.id}/served`, plate.id, [["code", plate.code]]);

function card(seat) {
  const t = stand(seat);
  const plate = known(t, t.i);
  const takes = plate?.code && !t.served && !t.gone && !t.dropped.has(plate.id);
  const li = element("li", `seat ${t.gone ? "left" : !plate ? "finished" : t.served ? "tasting" : "waiting"}`, "");
  const to = element("button", "to", "");
  to.type = "button";
  const who = element("span", "who", "");
  who.append(element("strong", "", t.label), " ", element("span", "at", t.place));
  to.append(who, element("span", "state", state(t)));
  if (plate?.code && !t.dropped.has(plate.id) && !t.gone) {
    const name = element("span", "name", "");
    name.append(plate.name ? element("q", "", plate.name) : element("span", "soft", "no name"));
    to.append(element("span", "code", plate.code), name);
  } else to.append(element("span", "soft count", `${t.over} of ${t.of}`));
  to.addEventListener("click", () => go({ seat: t.id, i: t.i }));
  li.append(to);
  if (takes) {
    const button = act("Served", false, () => served(t, plate));
    button.append(element("span", "unseen", ` to ${t.label}`));
    li.append(button);
  }
  return li;
}

function showSeat() {
  const t = stand(room.seats.find((s) => s.id === at.seat));
  at.i = Math.max(at.i, t.i);
  const plate = known(t, at.i);
  const open = plate?.code && !t.dropped.has(plate.id) && !t.gone;
  $("seat-label").textContent = t.label;
  $("seat-at").textContent = t.place;
  $("seat-state").textContent = at.i > t.i ? "next plate" : state(t);
  $("seat-code").textContent = open ? plate.code : "";
  $("seat-say").hidden = !open;
  $("seat-name").textContent = open ? plate.name : "";
  $("seat-words").textContent = open && plate.name ? "Say" : "No name: say nothing of the dish.";
  $("seat-over").textContent = `${t.over} of ${t.of} servings were over when the network went.${t.phone ? "" : " No phone: staff enter the scores."}`;
  $("seat-dropped").hidden = !plate || !t.dropped.has(plate.id);
  const list = [];
  const path = `/floor/seats/${t.id}`;
  if (open) {
    const plates = `${path}/servings/${plate.id}`;
    const code = [["code", plate.code]];
    const set = t.served && at.i === t.i;
    if (!set) list.push(act("Served", true, async () => { await served(t, plate); go(null); }));
    list.push(act("Enter the scores", set && !t.phone, async () => showScores(t, plate)));
    if (set) list.push(act("Not served: take that back", false, () => note(t, "taken-back", `${plate.code} taken back`, `${plates}/taken-back`, plate.id, code)));
    list.push(act("Dropped: ask for a new code", false, () => note(t, "dropped", `${plate.code} dropped`, `${plates}/dropped`, plate.id, code)));
    list.push(act("The guest does not want it", false, () => note(t, "refused", `${plate.code} refused`, `${plates}/refused`, plate.id, code)));
  }
  if (t.rinse) list.push(act("End the rinse", false, () => note(t, "rinse", "rinse ended", `${path}/rinse`, "", [["over", t.over]])));
  if (t.gone) list.push(act("The guest is back", false, () => note(t, "back", "the guest is back", `${path}/back`)));
  else if (plate) list.push(act("The guest has left", false, () => note(t, "left", "the guest has left", `${path}/left`)));
  $("acts").replaceChildren(...list);
  if (!typing) $("place").value = t.place;
}

function showScores(t, plate) {
  at = { ...at, scores: plate };
  typing = false;
  $("asks").replaceChildren(...questions(room.asks, room.comment, words));
  $("scores-label").textContent = t.label;
  $("scores-number").textContent = plate.number;
  $("scores-code").textContent = plate.code;
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
  if (!at?.scores) show();
}

/** Finds the seat that a plate belongs to by its code. */
async function find(code) {
  for (const seat of room.seats) {
    const t = stand(seat);
    const i = t.plates.findIndex((p, k) => known(t, k).code === code);
    if (i >= 0) return { t, i, view: known(t, i) };
  }
  if (!room.salt) return null;
  const key = await keyOf(code, room.salt);
  for (const seat of room.seats) {
    for (const [k, plate] of seat.ahead.entries()) {
      const view = await unseal(key, plate);
      if (view) return { t: stand(seat), i: k + (seat.now ? 1 : 0), view };
    }
  }
  return null;
}

/** Why a plate may not be shown yet; "" when it may. */
function early({ t, i }) {
  const plate = t.plates[i];
  if (t.reads) return `That is serving ${plate.number} of seat ${t.label}. The names are read to this guest first, and that needs the network.`;
  if (i < t.i) return `That is serving ${plate.number} of seat ${t.label}, which is over.`;
  if (i === t.i || i === t.i + 1 && t.phone && t.served) return "";
  const first = t.plates[t.i];
  return `That is serving ${plate.number} of seat ${t.label}. Serving ${first.number} comes first${t.served ? ": enter its scores" : ""}.`;
}

$("unlock").addEventListener("submit", async (event) => {
  event.preventDefault();
  const found = room && (await find($("plate").value.trim()));
  const why = found ? early(found) : "No plate that this phone knows has this code. It may have got a new one, or belong to a guest who came later.";
  $("wrong").textContent = why;
  if (why) return $("plate").select();
  const { id, code, name } = found.view;
  if (found.t.plates[found.i].box) {
    opened = { ...opened, [id]: { code, name } };
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
  const plate = at.scores;
  const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
  at = null;
  await note(t, "scores", `scores for ${plate.code}`, `/floor/seats/${t.id}/scores/${plate.id}`, plate.id, fields);
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
