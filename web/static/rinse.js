// Counts the rinse pause down and goes on when it is over. The server decides
// when that is: it gave the seconds that were left when the page was made.
const clock = document.querySelector("[data-seconds]");
const end = performance.now() + Number(clock.dataset.seconds) * 1000;
const said = document.getElementById("outbox");

/** Goes on; without network only where a page for that is at hand. */
async function onward() {
  if (!navigator.serviceWorker?.controller) {
    try {
      await fetch("/healthz", { cache: "no-store", signal: AbortSignal.timeout?.(8000) });
    } catch {
      if (said) said.textContent = said.dataset.away;
      setTimeout(onward, 2000);
      return;
    }
  }
  location.replace(clock.dataset.to);
}

function tick() {
  const left = Math.ceil((end - performance.now()) / 1000);
  if (left <= 0) {
    onward();
    return;
  }
  clock.textContent = String(left);
  setTimeout(tick, 250);
}
tick();

// A phone that slept has lost count: ask the server.
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") onward();
});
