// One question a screen, where the study wishes it. All are sent together, after the last;
// without this script they stand below one another.
import { check } from "./check.js";

function button(text, className) {
  const b = document.createElement("button");
  b.type = "button";
  b.className = className;
  b.textContent = text;
  return b;
}

/** Shows the questions of a form one by one. A form that gets other questions is given here again. */
export function oneByOne(form) {
  form.querySelector(".one-by-one")?.remove();
  form.querySelector(".one-step")?.remove();
  const asks = [...form.querySelectorAll(".ask")];
  const send = form.querySelector(".actions");
  send.hidden = false;
  if (asks.length < 2) return;
  const words = form.dataset;
  const where = document.createElement("p");
  where.className = "one-step soft small";
  asks[0].before(where);
  const next = button(words.next, "next");
  const back = button(words.back, "");
  const steps = document.createElement("div");
  steps.className = "actions one-by-one";
  steps.append(next, back);
  send.after(steps);
  let at = 0;
  const show = (i, focus) => {
    at = i;
    asks.forEach((ask, k) => { ask.hidden = k !== i; });
    where.textContent = words.step.replace("%d", i + 1).replace("%d", asks.length);
    next.hidden = i === asks.length - 1;
    send.hidden = !next.hidden;
    back.hidden = i === 0;
    steps.hidden = next.hidden && back.hidden;
    if (!focus) return;
    asks[i].tabIndex = -1; // read out, and where the keyboard goes on
    asks[i].focus({ preventScroll: true });
    where.scrollIntoView({ block: "nearest" });
  };
  const onward = () => { if (check(form, [asks[at]])) show(at + 1, true); };
  next.addEventListener("click", onward);
  back.addEventListener("click", () => show(at - 1, true));
  form.oneByOne?.abort();
  form.oneByOne = new AbortController();
  const { signal } = form.oneByOne;
  form.addEventListener("submit", (event) => { // by the keyboard, on the way
    if (at === asks.length - 1) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    onward();
  }, { capture: true, signal });
  form.closest("main").addEventListener("click", (event) => { // from what is wrong to its question
    const link = event.target.closest(".problems a");
    const i = link ? asks.findIndex((ask) => ask.querySelector(link.hash)) : -1;
    if (i >= 0) show(i);
  }, { signal });
  show(Math.max(0, asks.findIndex((ask) => ask.querySelector(".wrong"))));
}

const form = document.querySelector("form[data-step].asks");
if (form) oneByOne(form);
