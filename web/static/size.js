// Works the size of the panel out again while somebody types. Without this script
// the button does it.
const PAUSE = 350; // after the last key, ms

const form = document.querySelector("form.build");
const answer = document.getElementById("answer");
const worked = document.getElementById("worked-out");
const told = document.getElementById("told");
let waiting = 0;
let asking;

function put(html) {
  const open = [...worked.querySelectorAll("details")].map((d) => d.open);
  worked.innerHTML = html;
  worked.querySelectorAll("details").forEach((d, i) => (d.open = open[i] ?? false));
  told.textContent =
    (worked.querySelector("[data-told]") ?? worked.querySelector(".caution"))?.textContent.trim() ?? "";
}

async function ask() {
  asking?.abort();
  asking = new AbortController();
  try {
    const fields = new URLSearchParams(new FormData(form));
    const reply = await fetch(`${answer.dataset.again}?${fields}`, {
      headers: { Accept: "text/html" }, signal: asking.signal
    });
    if (reply.ok && !reply.redirected) put(await reply.text());
    answer.classList.toggle("stale", !reply.ok || reply.redirected);
  } catch (error) {
    if (error.name !== "AbortError") answer.classList.add("stale");
  }
}

form.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(ask, PAUSE);
});
form.querySelector(".work").hidden = true;
