// Tells an assessor without asking the service which answers are missing.
import { read } from "./line.js";

/** What is wrong with an order; "" when nothing is. */
function misplaced(ask) {
  const places = [...ask.querySelectorAll("select")].map((s) => s.value);
  if (places.includes("0")) return ask.dataset.missing;
  return new Set(places).size < places.length ? ask.dataset.twice : "";
}

/** What is wrong with words that are ticked; "" when nothing is. */
function misticked(ask) {
  const ticked = [...ask.querySelectorAll(":checked")].map((b) => b.value);
  if (ticked.length === 0) return ask.dataset.missing;
  return ticked.length > 1 && ticked.includes("0") ? ask.dataset.both : "";
}

/** What is wrong with one question's answer; "" when nothing is. */
function problem(ask) {
  const text = ask.querySelector("textarea");
  if (text) return [...text.value].length > text.dataset.most ? text.dataset.long : "";
  if (ask.matches(".places")) return misplaced(ask);
  if (ask.matches(".ticks")) return misticked(ask);
  const field = ask.querySelector(".number input");
  if (!field) return ask.querySelector(":checked") ? "" : ask.dataset.missing;
  if (field.value.trim() === "") return ask.dataset.missing;
  const line = ask.querySelector(".line");
  const v = read(field.value, Number(line.getAttribute("aria-valuemin")), Number(line.getAttribute("aria-valuemax")));
  return v === null ? ask.dataset.off : "";
}

function element(name, className, text) {
  const e = document.createElement(name);
  e.className = className;
  e.textContent = text;
  return e;
}

/**
 * Shows what is wrong with a form, or some of its questions, above it and beside each answer; returns whether all
 * is well.
 */
export function check(form, asks = form.querySelectorAll(".ask")) {
  for (const old of document.querySelectorAll(".problems, .ask > .wrong")) old.remove();
  const list = document.createElement("ul");
  for (const ask of asks) {
    const field = ask.querySelector("input:not([type=hidden]), select, textarea");
    const wrong = problem(ask);
    field.toggleAttribute("aria-invalid", wrong !== "");
    if (!wrong) continue;
    field.setAttribute("aria-invalid", "true");
    const label = ask.querySelector("legend, label");
    label.after(element("span", "wrong", wrong));
    const link = element("a", "", label.textContent);
    link.href = `#${field.checkVisibility?.() === false ? label.id : field.id}`;
    const item = document.createElement("li");
    item.append(link);
    list.append(item);
  }
  const n = list.children.length;
  if (n === 0) return true;
  const box = element("div", "problems", "");
  box.setAttribute("role", "alert");
  box.tabIndex = -1;
  box.append(element("h2", "", n === 1 ? form.dataset.wrongOne : form.dataset.wrongSome.replace("%d", n)), list,
    element("p", "", form.dataset.nothing));
  form.closest("main").prepend(box);
  box.focus();
  return false;
}
