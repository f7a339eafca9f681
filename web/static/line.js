// Line scales. The number field holds the answer; the line is a second way to
// give it. A line has no mark until the assessor makes one: any starting mark
// draws answers towards it.

/** Distance in px that a finger moves sideways before the mark follows it. */
const SIDEWAYS = 8;

const clamp = (v, lo, hi) => Math.min(Math.max(v, lo), hi);

/** Reads what stands in a number field; null when it is no value of the line. */
export function read(text, lo, hi) {
  const given = text.trim().replace(",", ".");
  if (given === "") return null;
  const v = Number(given);
  return v >= lo && v <= hi ? v : null;
}

/** The value that a key leads to; undefined when the key is not ours. */
export function afterKey(key, v, lo, hi) {
  const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
  if (key === "Home") return lo;
  if (key === "End") return hi;
  if (!(key in steps)) return undefined;
  return step(v, steps[key], lo, hi);
}

/** The nearest of the hundred steps of a line, without the dust of floats. */
const onStep = (v, lo, hi) => {
  const size = (hi - lo) / 100;
  return Number((lo + Math.round((clamp(v, lo, hi) - lo) / size) * size).toFixed(6));
};

/** Some steps on from v; the first one without a mark goes to the middle. */
export function step(v, by, lo, hi) {
  return onStep(v === null ? (lo + hi) / 2 : v + (by * (hi - lo)) / 100, lo, hi);
}

/** Makes the line of a question work. */
export function enliven(ask) {
  const line = ask.querySelector(".line");
  const mark = line.querySelector(".mark");
  const field = ask.querySelector(".number input");
  const lo = Number(line.getAttribute("aria-valuemin"));
  const hi = Number(line.getAttribute("aria-valuemax"));
  const unmarked = line.getAttribute("aria-valuetext");

  function show() {
    const v = read(field.value, lo, hi);
    mark.hidden = v === null;
    if (v === null) {
      line.setAttribute("aria-valuenow", lo);
      line.setAttribute("aria-valuetext", unmarked);
      return;
    }
    mark.style.left = `${(100 * (v - lo)) / (hi - lo)}%`;
    line.setAttribute("aria-valuenow", v);
    line.setAttribute("aria-valuetext", ask.dataset.number ? String(v) : line.dataset.marked);
  }
  function set(v) {
    field.value = String(v);
    show();
  }
  function at(event) {
    const box = line.getBoundingClientRect();
    return onStep(lo + ((event.clientX - box.left) / box.width) * (hi - lo), lo, hi);
  }

  // A touch may be the start of scrolling: the mark is made when the finger
  // lifts or has moved sideways, and never when the browser takes the gesture.
  let from = null;
  let held = false;
  line.addEventListener("pointerdown", (event) => {
    if (!event.isPrimary || event.button !== 0) return;
    from = event.clientX;
    held = event.pointerType === "mouse";
    if (held) set(at(event));
    line.setPointerCapture(event.pointerId);
  });
  line.addEventListener("pointermove", (event) => {
    if (from === null) return;
    held ||= Math.abs(event.clientX - from) > SIDEWAYS;
    if (held) set(at(event));
  });
  line.addEventListener("pointerup", (event) => {
    if (from === null) return;
    from = null;
    set(at(event));
    line.focus({ preventScroll: true });
  });
  line.addEventListener("pointercancel", () => { from = null; });

  line.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const v = afterKey(event.key, read(field.value, lo, hi), lo, hi);
    if (v === undefined) return;
    event.preventDefault();
    set(v);
  });
  for (const button of ask.querySelectorAll(".step")) {
    button.hidden = false;
    button.addEventListener("click", () => set(step(read(field.value, lo, hi), Number(button.dataset.by), lo, hi)));
  }
  field.addEventListener("input", show);
  // A number that was read is copied to the next serving: it is shown where the study asks for it.
  if (!ask.dataset.number) ask.querySelector(".number").classList.add("unread");
  line.hidden = false;
  show();
}

for (const ask of document.querySelectorAll(".ask.on-line")) enliven(ask);
