// Questions as the service's own pages have them: their markup stands in templates
// of the page without network.
import { enliven } from "./line.js";

const $ = (id) => document.getElementById(id);

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
    choice.replaceChildren(input, ` ${text}`);
    node.append(choice);
  });
  first.remove();
}

function askOf(ask, words) {
  const holder = document.createElement("div");
  holder.innerHTML = $(ask.line ? "a-line" : "a-choice").innerHTML.replaceAll(ask.line ? "a0" : "b0", ask.field.replace(/\W/g, ""));
  const node = holder.firstElementChild;
  node.querySelector("legend").textContent = ask.text;
  (ask.line ? lineOf : choicesOf)(ask, node, words);
  return node;
}

/** The questions of a serving, and its comment box if it has one. */
export function questions(asks, comment, words) {
  const nodes = asks.map((ask) => askOf(ask, words));
  if (!comment) return nodes;
  const box = $("a-comment").content.firstElementChild.cloneNode(true);
  box.querySelector("label").textContent = comment;
  return [...nodes, box];
}
