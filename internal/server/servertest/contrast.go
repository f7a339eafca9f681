package servertest

// faint lists words that stand out too little from what is behind them: 4.5 to 1, or 3
// to 1 for large letters. Source: WCAG 2.2, 1.4.3 and the definitions of contrast ratio,
// relative luminance and large-scale text. axe-core says the same at thirty times the
// cost, as it looks for what lies behind each word where the page puts it; here it is the
// nearest box around the word that has a colour. Where a word may lie elsewhere (its box, or
// one between, floats, moves or has a place of its own) it goes into the list elsewhere, for
// axe-core to look at. Pictures are not looked behind, as axe-core does not.
const faint = `(() => {
  const paint = document.createElement("canvas").getContext("2d", {willReadFrequently: true}), known = new Map();
  const rgba = (colour) => {
    if (!known.has(colour)) {
      paint.clearRect(0, 0, 1, 1);
      paint.fillStyle = colour;
      paint.fillRect(0, 0, 1, 1);
      known.set(colour, [...paint.getImageData(0, 0, 1, 1).data].map((x) => x / 255));
    }
    return known.get(colour);
  };
  const over = (a, b) => [0, 1, 2].map((i) => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  let apart = false;
  const sides = (style, what) => ["Top", "Bottom", "Left", "Right"]
    .map((x) => style[what ? what + x : x.toLowerCase()]);
  const moves = (style) => ["absolute", "fixed"].includes(style.position) || style.float !== "none" ||
    style.position === "relative" && sides(style, "").some((x) => x !== "auto" && x !== "0px") ||
    style.position === "sticky" && (style.bottom !== "auto" || scrollY > 0) || // else it is where it would be
    style.transform !== "none" || style.translate !== "none" || sides(style, "margin").some((x) => x.startsWith("-"));
  const behind = (e) => {
    if (!e) return [1, 1, 1, 1];
    const style = getComputedStyle(e), own = rgba(style.backgroundColor);
    if (style.backgroundImage !== "none") return null;
    if (own[3] === 1) return own;
    apart ||= moves(style);
    const below = behind(e.parentElement);
    return below && over(own, below);
  };
  const shown = (e) => e ? getComputedStyle(e).opacity * shown(e.parentElement) : 1;
  const luminance = (c) => [.2126, .7152, .0722].reduce((sum, share, i) =>
    sum + share * (c[i] <= .04045 ? c[i] / 12.92 : ((c[i] + .055) / 1.055) ** 2.4), 0);
  const bad = [], seen = new Set();
  window.elsewhere = [];
  const check = (e) => {
    if (seen.has(e) || !e.checkVisibility({visibilityProperty: true, opacityProperty: true})) return;
    seen.add(e);
    if (e.closest(":disabled, [inert], [aria-disabled=true], .unseen, option, svg, label:has(:disabled)")) return;
    apart = false;
    const style = getComputedStyle(e), back = behind(e);
    if (!back) return;
    if (apart) elsewhere.push(e);
    const ink = rgba(style.color), front = over([ink[0], ink[1], ink[2], ink[3] * shown(e)], back);
    const [dark, light] = [luminance(front), luminance(back)].sort((a, b) => a - b);
    const size = parseFloat(style.fontSize), large = size >= 24 || size >= 18.66 && style.fontWeight >= 700;
    const ratio = (light + .05) / (dark + .05);
    if (ratio < (large ? 3 : 4.5)) bad.push("faint, " + ratio.toFixed(2) + " to 1: " + e.outerHTML.slice(0, 80));
  };
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) if (words.currentNode.textContent.trim()) check(words.currentNode.parentElement);
  const typedInto = "select, textarea, input:not([type=radio]):not([type=checkbox]):not([type=hidden])";
  for (const e of document.querySelectorAll(typedInto)) check(e);
  return bad.slice(0, 5);
})()`

// remember notes what a page shows in a window, and fresh is the list of elements that
// another window shows and that one did not: it hid them, or a table was no table there,
// or nothing had to be scrolled. All else is for axe-core what it was. A page that went on
// by itself is all new.
const (
	remember = `(() => {
  window.lookOf = (e) => {
    if (!e.checkVisibility({visibilityProperty: true})) return "";
    const style = getComputedStyle(e), more = e.scrollWidth > e.clientWidth || e.scrollHeight > e.clientHeight;
    return style.display.startsWith("table") + " " + (more && /auto|scroll/.test(style.overflow));
  };
  window.looked = new Map([...document.querySelectorAll("html, html *")].map((e) => [e, lookOf(e)]));
  return true;
})()`
	fresh = `!window.looked ? document :
  [...document.querySelectorAll("html, html *")].filter((e) => lookOf(e) && lookOf(e) !== looked.get(e))`
)
