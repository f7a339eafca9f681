// Passkeys: the browser answers what the page asks, and the form carries the answer. A
// page without this script, or a browser without passkeys, shows nothing of it.
const bytes = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const text = (buffer) => btoa(String.fromCharCode(...new Uint8Array(buffer)))
  .replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");

const ask = (options) => {
  const key = { ...options.publicKey, challenge: bytes(options.publicKey.challenge) };
  for (const list of ["excludeCredentials", "allowCredentials"]) {
    if (key[list]) key[list] = key[list].map((c) => ({ ...c, id: bytes(c.id) }));
  }
  if (!key.user) return navigator.credentials.get({ publicKey: key });
  key.user = { ...key.user, id: bytes(key.user.id) };
  return navigator.credentials.create({ publicKey: key });
};

const told = (answer) => {
  const response = { clientDataJSON: text(answer.response.clientDataJSON) };
  for (const part of ["attestationObject", "authenticatorData", "signature", "userHandle"]) {
    if (answer.response[part]) response[part] = text(answer.response[part]);
  }
  return JSON.stringify({ id: answer.id, rawId: text(answer.rawId), type: answer.type, response,
    clientExtensionResults: answer.getClientExtensionResults() });
};

for (const form of document.querySelectorAll("form[data-passkey]")) {
  if (!window.PublicKeyCredential) continue;
  form.hidden = false;
  form.addEventListener("submit", async (event) => {
    const field = form.elements.namedItem("answer");
    if (field.value) return;
    event.preventDefault();
    const note = form.querySelector("[role=alert]");
    note.textContent = "";
    try {
      field.value = told(await ask(JSON.parse(form.dataset.passkey)));
      form.submit();
    } catch {
      note.textContent = note.dataset.failed;
      for (const button of form.querySelectorAll("button")) button.removeAttribute("aria-disabled");
    }
  });
}
