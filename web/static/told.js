// A picture to keep or share: what was found, and one's own answers. What others answered
// is not in it.
const told = document.querySelector(".told");
const save = document.getElementById("picture");

const WIDE = 1080;
const EDGE = 80;
const FONT = "system-ui, sans-serif";

/** Writes a text in lines no wider than the picture; returns where the next one begins. No-break spaces hold. */
function write(g, text, y, size, weight = "400") {
  g.font = `${weight} ${size}px ${FONT}`;
  let line = "";
  for (const word of text.split(/[ \n]+/)) {
    if (line && g.measureText(`${line} ${word}`).width > WIDE - 2 * EDGE) {
      g.fillText(line, EDGE, y);
      y += size * 1.35;
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  g.fillText(line, EDGE, y);
  return y + size * 1.35;
}

/** A line with one's own mark: at is between 0 and 1. */
function mark(g, at, y) {
  g.fillStyle = "#6e6459";
  g.fillRect(EDGE, y, WIDE - 2 * EDGE, 4);
  g.fillStyle = "#8a1c46";
  g.beginPath();
  g.arc(EDGE + at * (WIDE - 2 * EDGE), y + 2, 18, 0, 2 * Math.PI);
  g.fill();
  g.fillStyle = "#231c16";
  return y + 70;
}

/** Draws all of it, once to learn how tall it is and once to keep; returns the height. */
function draw(g) {
  g.fillStyle = "#231c16";
  let y = write(g, document.querySelector("h1").textContent.trim(), 150, 64, "700");
  const found = document.getElementById("found");
  if (found) y = write(g, found.textContent.trim(), y + 20, 44);
  for (const ask of told.querySelectorAll(".told-ask")) {
    y = write(g, ask.querySelector("h3").textContent.trim(), y + 40, 40, "700");
    for (const sample of ask.querySelectorAll(".told-sample")) {
      const read = (part) => sample.querySelector(part).textContent.trim();
      const said = `${read(".called")}: ${read(".own-said")}`;
      y = write(g, said, y + 10, 36);
      if (sample.querySelector("svg")) y = mark(g, (Number(sample.dataset.own) - 10) / 280, y);
    }
  }
  return y + 40;
}

function picture() {
  const canvas = document.createElement("canvas");
  canvas.width = WIDE;
  canvas.height = 100;
  canvas.height = Math.ceil(draw(canvas.getContext("2d")));
  const g = canvas.getContext("2d");
  g.fillStyle = "#fbf7f0";
  g.fillRect(0, 0, WIDE, canvas.height);
  draw(g);
  return new Promise((done) => { canvas.toBlob(done, "image/png"); });
}

async function give() {
  const blob = await picture();
  const file = new File([blob], "tasting.png", { type: blob.type });
  if (navigator.canShare?.({ files: [file] })) {
    await navigator.share({ files: [file] }).catch(() => {}); // closed without sharing
    return;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

if (told && save) {
  save.hidden = false;
  document.getElementById("picture-note").hidden = false;
  save.addEventListener("click", give);
}
