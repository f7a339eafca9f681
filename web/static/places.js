// An order by taps: the first plate that is tapped gets the first place, the next the
// second. A tap on one that has a place takes it back, and those after it close up. The
// places stand in the form's own lists, which are shown where there is no script. Below
// stands the order so far, with two buttons for each plate that move it by one place.

/** Puts buttons in the place of the lists of one question. */
export function enliven(ask) {
  const plates = [...ask.querySelectorAll(".place")].map((label) => ({ label, list: label.querySelector("select") }));
  const taken = () => plates.filter((p) => p.list.value !== "0").sort((a, b) => a.list.value - b.list.value);
  const put = (list, value) => {
    if (list.value === String(value)) return;
    list.value = value;
    list.dispatchEvent(new Event("input", { bubbles: true }));
  };

  /** Moves a plate by one place, and keeps the button that did it in focus. */
  function move(p, by) {
    const inOrder = taken();
    const from = inOrder.indexOf(p);
    const other = inOrder[from + by];
    if (!other) return;
    put(p.list, from + by + 1);
    put(other.list, from + 1);
    show();
    const [earlier, later] = p.row.querySelectorAll("button");
    const pressed = by < 0 ? earlier : later;
    (pressed.disabled ? (by < 0 ? later : earlier) : pressed).focus();
  }

  function rowOf(p, at, all) {
    const row = document.createElement("li");
    const code = document.createElement("strong");
    code.className = "digits";
    code.textContent = p.label.querySelector(".digits").textContent;
    row.append(code);
    for (const [words, by] of [[ask.dataset.earlier, -1], [ask.dataset.later, 1]]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words;
      button.setAttribute("aria-label", `${code.textContent}: ${words}`);
      button.disabled = at + by < 0 || at + by >= all;
      button.addEventListener("click", () => move(p, by));
      row.append(button);
    }
    p.row = row;
    return row;
  }

  function show() {
    const inOrder = taken();
    order.replaceChildren(...inOrder.map((p, i) => rowOf(p, i, inOrder.length)));
    order.hidden = inOrder.length < 2;
    for (const p of plates) {
      const place = p.list.value === "0" ? "" : p.list.value;
      p.button.setAttribute("aria-pressed", String(place !== ""));
      p.badge.textContent = place;
    }
  }

  function tap(p) {
    const inOrder = taken();
    if (p.list.value === "0") put(p.list, inOrder.length + 1);
    else {
      put(p.list, 0);
      inOrder.filter((x) => x !== p).forEach((x, i) => put(x.list, i + 1));
    }
    show();
  }

  const order = document.createElement("ol");
  order.className = "order";
  order.hidden = true;
  ask.querySelector(".tray").after(order);
  for (const p of plates) {
    p.button = document.createElement("button");
    p.button.type = "button";
    p.button.className = "choice place";
    p.button.append(...[...p.label.childNodes].filter((n) => n !== p.list).map((n) => n.cloneNode(true)));
    p.badge = document.createElement("span");
    p.badge.className = "badge";
    p.button.append(p.badge);
    p.button.addEventListener("click", () => tap(p));
    p.list.addEventListener("input", show); // a draft that is put back
    p.label.hidden = true;
    p.label.after(p.button);
  }
  ask.querySelector(".how").textContent = ask.dataset.how;
  show();
}

for (const ask of document.querySelectorAll("form .ask.places")) enliven(ask);
