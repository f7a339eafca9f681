// An order by taps: the first plate that is tapped gets the first place, the next the
// second. A tap on one that has a place takes it back, and those after it close up. The
// places stand in the form's own lists, which are shown where there is no script.

/** Puts buttons in the place of the lists of one question. */
export function enliven(ask) {
  const plates = [...ask.querySelectorAll(".place")].map((label) => ({ label, list: label.querySelector("select") }));
  const taken = () => plates.filter((p) => p.list.value !== "0").sort((a, b) => a.list.value - b.list.value);
  const put = (list, value) => {
    if (list.value === String(value)) return;
    list.value = value;
    list.dispatchEvent(new Event("input", { bubbles: true }));
  };

  function show() {
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
