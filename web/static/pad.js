// The keypad of the floor: digits under the thumb. Three of them look the plate up.
// Where several codes open a tray they are typed one after the other, and looked up by hand.
const form = document.getElementById("unlock");
const field = document.getElementById("plate");
const SAME = 80; // two touches sooner than this are one of a trembling thumb, ms

let last = { key: "", at: -SAME };

/** Whether one code is all that is typed. */
const single = () => field.maxLength === 3;

function put(key) {
  if (key === "") field.value = field.value.slice(0, -1).trimEnd();
  else if (single()) field.value = (field.value.length < 3 ? field.value : "") + key;
  else field.value += /[0-9]{3}$/.test(field.value) ? ` ${key}` : key;
}

for (const button of form.querySelectorAll("[data-key]")) {
  button.hidden = false;
  button.addEventListener("click", (event) => {
    const { key } = button.dataset;
    if (key === last.key && event.timeStamp - last.at < SAME) return;
    last = { key, at: event.timeStamp };
    if (form.dataset.going !== undefined) return;
    put(key);
    if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(12);
    if (key !== "" && single() && field.value.length === 3) form.requestSubmit();
  });
}
field.inputMode = "none"; // the pad stands where the phone's own keys would
form.addEventListener("submit", () => {
  if (!form.closest("#shell")) form.dataset.going = ""; // another page follows
});
window.addEventListener("pageshow", (event) => {
  if (event.persisted) delete form.dataset.going;
});
if (field.value) field.select();
