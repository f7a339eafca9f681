// Words that fit, and that none does: whoever ticks one takes the other back. Without a
// script the service asks which of the two was meant.

/** Keeps the two apart in one question. */
export function enliven(ask) {
  const boxes = [...ask.querySelectorAll("input[type=checkbox]")];
  const none = boxes.find((b) => b.value === "0");
  ask.addEventListener("change", ({ target }) => {
    if (!target.checked) return;
    for (const b of boxes) if ((b === none) !== (target === none)) b.checked = false;
  });
}

for (const ask of document.querySelectorAll("form .ask.ticks")) enliven(ask);
