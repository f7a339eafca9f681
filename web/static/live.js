// Keeps #live fresh: by the service's stream of events, and where that is cut,
// or there is none, by asking for the page again. What stands outside #live, as
// where somebody types, is left alone. A page without this script loads itself again.
const AGAIN = 5000; // between two questions while there is no stream, ms
const SETTLE = 600; // a tap this soon after things moved may mean something else, ms
const PAINTED = 3000; // at the latest: a browser that draws nothing for so long must not hold taps back for good, ms

const live = document.getElementById("live");
const note = document.getElementById("fresh");
const words = note?.textContent;
let moved = -SETTLE; // when the list last stood anew on the screen
let asking = 0;
let puts = 0;

/** Names a control by what it does, so that it is known again where the page came anew. */
function does(e) {
  if (e.id) return e.id;
  const fields = e.form ? new URLSearchParams(new FormData(e.form)) : "";
  return [e.tagName, e.name, e.value, e.getAttribute("href"), e.form?.action, fields,
    e.tagName === "SUMMARY" && e.textContent].join("|");
}

function put(html) {
  const next = document.createElement("div");
  next.innerHTML = html;
  if (next.innerHTML.trim() === live.innerHTML.trim()) return;
  const focused = live.contains(document.activeElement) && does(document.activeElement);
  live.replaceChildren(...next.childNodes);
  if (focused) [...live.querySelectorAll("a, button, input, select, textarea, summary, [tabindex]")].find((e) =>
    does(e) === focused)?.focus({ preventScroll: true });
  live.dispatchEvent(new Event("renewed"));
  shifted();
}

/** What is on the screen moves: taps wait until it stands again. */
function shifted() {
  moved = Infinity; // until it is painted: on a slow phone that takes a while
  live.dataset.moving = "";
  const mine = ++puts;
  const stands = () => {
    if (mine !== puts || moved !== Infinity) return;
    moved = performance.now();
    setTimeout(() => { if (mine === puts) delete live.dataset.moving; }, SETTLE);
  };
  requestAnimationFrame(() => setTimeout(stands));
  setTimeout(stands, PAINTED);
}

function away(is) {
  live.classList.toggle("stale", is);
  if (!note) return;
  const text = is ? note.dataset.away : words;
  if (note.textContent !== text) note.textContent = text;
  note.classList.toggle("away", is);
}

async function ask() {
  try {
    const answer = await fetch(live.dataset.again, { headers: { Accept: "text/html" } });
    if (answer.redirected || answer.status === 403 || answer.status === 409) {
      location.reload(); // signed out, or over
      return;
    }
    if (answer.ok) {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      put((page.getElementById("live") ?? page.body).innerHTML);
    }
    away(!answer.ok);
  } catch {
    away(true);
  }
}

function listen() {
  const stream = new EventSource(live.dataset.events);
  stream.addEventListener("fresh", (event) => {
    clearInterval(asking);
    asking = 0;
    put(event.data);
    away(false);
  });
  stream.addEventListener("over", () => {
    stream.close();
    location.reload();
  });
  stream.onerror = () => {
    if (!asking) asking = setInterval(ask, AGAIN);
    if (stream.readyState !== EventSource.CLOSED) return; // the browser tries again by itself
    setTimeout(listen, 4 * AGAIN);
  };
  window.addEventListener("pagehide", () => stream.close(), { once: true });
}

// The list moved under the thumb: what is there now is not what was aimed at. A tap
// carries the time at which it was made, however late a slow phone gets round to it.
// A key acts where the focus is, and that stays with what it stood on.
live?.addEventListener("click", (event) => {
  if (event.detail > 0 && event.timeStamp - moved < SETTLE && event.target.closest("button, a")) event.preventDefault();
}, { capture: true });
live?.addEventListener("stale", ask);
live?.addEventListener("shifted", shifted); // by what stands above the list
if (live?.dataset.aimed !== undefined) shifted(); // the last digit's second tap is not meant for this page
window.addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
if (live?.dataset.events) listen();
else if (live?.dataset.again) setInterval(ask, AGAIN);
