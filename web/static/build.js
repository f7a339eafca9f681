// A page with typed words that are not saved asks before it is left. Without this
// script nothing is asked, and the browser's own memory of the form is all there is.
const form = document.querySelector("form.build");
if (form) {
  let changed = false;
  form.addEventListener("input", () => (changed = true));
  form.addEventListener("submit", () => (changed = false));
  window.addEventListener("beforeunload", (event) => {
    if (changed) event.preventDefault();
  });
  // A page that the browser kept whole, and shows again after “Back”, is older than
  // what was saved from it.
  window.addEventListener("pageshow", (event) => {
    if (event.persisted && !changed) location.reload();
  });
}
