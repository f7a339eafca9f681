// The code on the plate opens the serving. With network the service looks at it; without,
// the page that stands in opens what this phone holds, by the same code.
import { ready } from "./ahead.js";

const form = document.getElementById("unlock");
const said = document.getElementById("outbox");
const field = document.getElementById("plate");
const { ballot } = said.dataset;

/** What the service says of the code: its status; 0 when it did not answer. */
async function ask() {
  try {
    const answer = await fetch(form.action, {
      method: "POST", headers: { Accept: "application/json" }, cache: "no-store",
      body: new URLSearchParams(new FormData(form)), signal: AbortSignal.timeout?.(8000),
    });
    return answer.status;
  } catch {
    return 0;
  }
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (form.inert) return;
  form.inert = true;
  const status = await ask();
  if (status === 204) return location.replace(ballot);
  if (status === 0 && (await ready(ballot))) {
    sessionStorage.setItem("cloche-typed", field.value); // for that page
    return location.replace(ballot);
  }
  form.inert = false;
  document.querySelector(".problems")?.remove();
  if (status === 0) said.textContent = said.dataset.away;
  else if (status === 422) {
    document.getElementById("wrong").textContent = form.dataset.wrong;
    field.setAttribute("aria-invalid", "true");
    field.select();
  } else form.submit(); // the service's own page says what is wrong
});
