// Questions as the service's own pages have them: their markup stands in templates
// of the page without network.
import { enliven } from "./line.js";
import { enliven as orderByTaps } from "./places.js";
import { enliven as keepApart } from "./ticks.js";

const $ = (id) => document.getElementById(id);

/** Says of which language the study's own words are, where it is not the page's. */
const speaks = ({ lang }, ...nodes) => lang && nodes.forEach((node) => { node.lang = lang; });

/** A word of the study beside its box. */
function word(ask, text) {
  if (!ask.lang) return text;
  const span = document.createElement("span");
  span.textContent = text;
  speaks(ask, span);
  return span;
}

/** The name of a plate, beside its code. */
function named(ask, plate) {
  const name = document.createElement("span");
  name.textContent = plate.name;
  speaks(ask, name);
  return name;
}

/** Puts values into a text, one for each %d or %s. */
export const fill = (text, ...values) => values.reduce((t, v) => t.replace(/%[ds]/, v), text);

function lineOf(ask, node, words) {
  const number = (x) => String(x).replace(".", words.decimal);
  const line = node.querySelector(".line");
  line.setAttribute("aria-valuemin", ask.from);
  line.setAttribute("aria-valuemax", ask.to);
  line.setAttribute("aria-valuenow", ask.from);
  const [low, high] = node.querySelectorAll(".ends span");
  low.textContent = ask.low;
  high.textContent = ask.high;
  speaks(ask, low, high);
  node.querySelector(".number label").textContent = fill(words.between, number(ask.from), number(ask.to));
  node.dataset.off = fill(words.off, number(ask.from), number(ask.to));
  if (ask.number) node.dataset.number = "shown";
  enliven(node);
}

function choicesOf(ask, node) {
  const first = node.querySelector(".choice");
  ask.labels.forEach((text, i) => {
    const choice = first.cloneNode(true);
    const input = choice.querySelector("input");
    input.value = i + 1;
    input.id = `${ask.field}-${i + 1}`;
    choice.replaceChildren(input, " ", word(ask, text));
    node.append(choice);
  });
  first.remove();
  if (!ask.plates?.length) return;
  const codes = document.createElement("p");
  codes.className = "tray-codes";
  for (const plate of ask.plates) {
    const code = document.createElement("strong");
    code.className = "digits";
    code.textContent = plate.code;
    codes.append(code, " ");
  }
  node.querySelector("legend").after(codes);
}

/** Large codes of plates, as they stand, of which one is chosen. */
function codesOf(ask, node) {
  const tray = node.querySelector(".tray");
  const first = tray.querySelector(".choice");
  const none = node.querySelector(":scope > .choice");
  for (const plate of ask.plates) {
    const given = plate.known || ask.pairs && plate === ask.plates[0];
    const box = given ? document.createElement("div") : first.cloneNode(true);
    const code = document.createElement("strong");
    code.className = "digits";
    code.textContent = plate.code;
    if (given) {
      const known = document.createElement("span");
      known.className = "soft";
      known.textContent = ask.pairs ? node.dataset.pair : node.dataset.compare;
      box.className = "choice known";
      box.replaceChildren(code, " ", known);
    } else {
      const input = box.querySelector("input");
      input.value = plate.at;
      input.id = `${ask.field}-${plate.at}`;
      box.replaceChildren(input, " ", code);
    }
    if (plate.name) {
      code.after(" ", named(ask, plate));
    }
    tray.append(box);
  }
  first.remove();
  if (ask.none) none.lastChild.replaceWith(" ", word(ask, ask.none));
  else none.remove();
}

/** Large codes of plates, each with its place in an order. */
function placesOf(ask, node) {
  const tray = node.querySelector(".tray");
  const first = tray.querySelector(".place");
  for (const plate of ask.plates) {
    const box = first.cloneNode(true);
    const list = box.querySelector("select");
    box.querySelector("strong").textContent = plate.code;
    list.id = `${ask.field}-${plate.at}`;
    list.name = ask.field;
    list.setAttribute("aria-label", list.getAttribute("aria-label").replace("000", plate.code));
    list.replaceChildren(list.options[0], ...ask.plates.map((_, i) => new Option(i + 1, i + 1)));
    if (plate.name) {
      box.querySelector("strong").after(" ", named(ask, plate));
    }
    tray.append(box);
  }
  first.remove();
  orderByTaps(node);
}

/** Words of which all that fit are ticked, in the order in which they come. */
function ticksOf(ask, node) {
  const list = node.querySelector(".words");
  const first = list.querySelector(".choice");
  ask.labels.forEach((text, i) => {
    const choice = first.cloneNode(true);
    const input = choice.querySelector("input");
    input.value = ask.values[i];
    input.id = `${ask.field}-${ask.values[i]}`;
    choice.replaceChildren(input, " ", word(ask, text));
    list.append(choice);
  });
  first.remove();
  keepApart(node);
}

/** The markup and the filling of each kind of question. */
const kinds = { line: ["a-line", "a0", lineOf], choice: ["a-choice", "b0", choicesOf],
  codes: ["a-codes", "c0", codesOf], places: ["a-places", "d0", placesOf], ticks: ["a-ticks", "e0", ticksOf] };

function askOf(ask, words) {
  const kind = ask.line ? "line" : ask.rank ? "places" : ask.values?.length ? "ticks"
    : ask.labels?.length ? "choice" : "codes";
  const [template, blank, make] = kinds[kind];
  const holder = document.createElement("div");
  holder.innerHTML = $(template).innerHTML.replaceAll(blank, ask.field.replace(/\W/g, ""));
  const node = holder.firstElementChild;
  const legend = node.querySelector("legend");
  legend.textContent = ask.text;
  speaks(ask, legend);
  make(ask, node, words);
  return node;
}

/** The questions of a turn, and its comment box if it has one. */
export function questions(asks, comment, words) {
  const nodes = asks.map((ask) => askOf(ask, words));
  if (!comment) return nodes;
  const box = $("a-comment").content.firstElementChild.cloneNode(true);
  const label = box.querySelector("label");
  label.textContent = comment;
  speaks(asks[0], label);
  return [...nodes, box];
}
