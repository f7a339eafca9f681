// What was typed and not sent is kept on the phone, so that a tab that is closed or
// a phone that restarts loses nothing. It goes when the answers are kept to be sent.
import { within } from "./outbox.js";

const key = (url) => `draft ${url}`;

/** Fills a form with what was typed into it before, and keeps what is typed now. */
export async function draft(form, url) {
  let typed = 0;
  const held = await within("ballots", "readonly", (s) => s.get(key(url)));
  const at = {}; // how many values of a name were put back
  for (const [name, value] of held ?? []) {
    const i = at[name] = (at[name] ?? -1) + 1;
    for (const [k, e] of [...form.elements].filter((e) => e.name === name && e.type !== "hidden").entries()) {
      if (e.localName === "select") { // one for each plate
        if (k !== i || e.value !== "0") continue;
        e.value = value;
      } else if (e.type === "checkbox") e.checked ||= e.value === value; // each that is ticked has a value of its own
      else if (e.type === "radio") e.checked = e.value === value;
      else if (e.value === "") e.value = value;
      e.dispatchEvent(new Event("input", { bubbles: true }));
    }
  }
  const save = () => {
    clearTimeout(typed);
    if (form.hidden || form.inert) return; // sent, or another serving's by now
    const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
    within("ballots", "readwrite",
      (s) => s.put(fields.filter(([name, value]) => value !== "" && name !== "id"), key(url))).catch(() => {});
  };
  const soon = () => {
    clearTimeout(typed);
    typed = setTimeout(save, 200);
  };
  const on = new AbortController();
  for (const name of ["input", "click", "keyup", "pointerup"]) form.addEventListener(name, soon, { signal: on.signal });
  window.addEventListener("pagehide", save, { signal: on.signal });
  soon(); // what was typed before the phone's store was open
  return () => { // the form is another one's now
    clearTimeout(typed);
    on.abort();
  };
}
