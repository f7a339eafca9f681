// Shows what the phone keeps of the floor's acts: what waits for the network, what
// the service refused, and what it answered that somebody has to know.
import { acts, drop, waits } from "./acts.js";
import { say } from "./say.js";

function element(name, className, text) {
  const e = document.createElement(name);
  e.className = className;
  e.textContent = text;
  return e;
}

function item(act, button) {
  const li = element("li", "", act.says);
  if (act.words) li.append(element("span", "why", act.words));
  if (!button) return li;
  const dismiss = element("button", "", button);
  dismiss.type = "button";
  dismiss.setAttribute("aria-label", `${button}: ${act.says}`);
  dismiss.addEventListener("click", async () => {
    await drop(act.seq);
    await showKept();
  });
  li.append(dismiss);
  return li;
}

function part(heading, list, button) {
  if (list.length === 0) return [];
  const items = document.createElement("ul");
  items.append(...list.map((act) => item(act, typeof button === "string" ? button : button(act))));
  return [element("h2", "", heading), items];
}

let said = "[]"; // what the list shows, which is nothing at first

/** Writes the list; note is said with it. */
export async function showKept(note = "") {
  const all = await acts();
  const waiting = all.filter(waits);
  const text = [note,
    waiting.length ? say(waiting.length === 1 ? "one" : "some", { n: waiting.length }) : ""].join(" ").trim();
  const status = document.getElementById("kept-note");
  if (status.textContent !== text) status.textContent = text;
  const now = JSON.stringify(all.map(({ seq, state, words }) => [seq, state, words]));
  if (now === said) return waiting.length;
  said = now;
  document.getElementById("kept").replaceChildren(
    ...part(say("waiting"), waiting, (act) => (act.words ? say("leaveOut") : "")),
    ...part(say("refused"), all.filter((act) => act.state === "refused"), say("read")),
    ...part(say("told"), all.filter((act) => act.state === "told"), say("read")),
  );
  document.getElementById("live")?.dispatchEvent(new Event("shifted"));
  return waiting.length;
}
