// Keeps the live board's counts fresh without loading the page again.
const EVERY = 3000;
const board = document.getElementById("board");

async function refresh() {
  try {
    const answer = await fetch(board.dataset.from, { headers: { Accept: "text/html" } });
    if (answer.redirected || answer.status === 409) {
      location.reload(); // signed out, or the study was closed
      return;
    }
    if (answer.ok) board.innerHTML = await answer.text();
    board.classList.toggle("stale", !answer.ok);
  } catch {
    board.classList.add("stale"); // the network is away: keep what is shown
  }
  setTimeout(refresh, EVERY);
}
setTimeout(refresh, EVERY);
