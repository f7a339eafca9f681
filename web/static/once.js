// A form is sent once, however often its button is tapped. The server takes
// answers once in any case; this spares the wait.
for (const form of document.querySelectorAll("form[method=post]")) {
  let sent = false;
  form.addEventListener("submit", (event) => {
    if (sent) {
      event.preventDefault();
      return;
    }
    sent = true;
    for (const button of form.querySelectorAll("button:not([type=button])"))
      button.setAttribute("aria-disabled", "true");
  });
  // A page that comes back from the browser's memory can send again.
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    sent = false;
    for (const button of form.querySelectorAll("button[aria-disabled]")) button.removeAttribute("aria-disabled");
  });
}
