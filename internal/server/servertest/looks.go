package servertest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Axe is axe-core's script, from web's devDependencies: it is used here alone and
// is no part of the program.
func Axe(t *testing.T) string {
	t.Helper()
	script, err := os.ReadFile(filepath.Join(root(t), "web", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		Skip(t, "axe-core is not installed: run npm --prefix web ci")
	}
	return string(script)
}

// root returns the project's top folder, from whichever package's folder it is
// asked for.
func root(t *testing.T) string {
	t.Helper()
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for dir := here; ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		if dir == filepath.Dir(dir) {
			t.Fatalf("no go.mod above %s", here)
		}
	}
}

// AllRules are those of WCAG 2.0 to 2.2, levels A and AA; colours is the part of them
// that a dark page can break when the light one is sound.
const (
	AllRules = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]`
	colours  = `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`
)

// runAxe asks for some rules, and not for what nobody reads: selectors of elements,
// what passed, style sheets a second time.
func runAxe(rules string) string {
	return `axe.run(document, {runOnly: ` + rules + `, resultTypes: ["violations"], selectors: false, preload: false, iframes: false}).then(r =>
  JSON.stringify(r.violations.map(v => v.id + ": " + v.help + "\n  " +
    v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " — " +
    n.failureSummary.split("\n").slice(1, 2).join("").trim()).join("\n  "))))`
}

// Violations returns what axe-core finds on a page. A page that goes on by itself,
// as a rinse does, may leave in the middle: it is opened again, three times at most.
func Violations(t *testing.T, ctx context.Context, url, script string) []string {
	t.Helper()
	var list []string
	var err error
	for range 3 {
		if err = chromedp.Do(ctx, chromedp.Navigate(url)); err == nil {
			list, err = Inspect(ctx, script, AllRules)
		}
		if err == nil {
			return list
		}
	}
	t.Fatalf("axe-core on %s: %v", url, err)
	return nil
}

// Inspect runs axe-core over the page that a browser shows. The script is half a
// megabyte: a page that has it gets it no second time.
func Inspect(ctx context.Context, script, rules string) ([]string, error) {
	has, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`"axe" in window`))
	if err == nil && !has {
		_, err = chromedp.Run(ctx, chromedp.Evaluate[bool](script+"; true"))
	}
	if err != nil {
		return nil, err
	}
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](runAxe(rules), chromedp.EvalAwaitPromise))
	if err != nil {
		return nil, err
	}
	var list []string
	return list, json.Unmarshal([]byte(got), &list)
}

// Misfits lists what does not fit the window: content wider than it (WCAG 2.2,
// 1.4.10), and controls less than 44 px high (2.5.5; links in running text are
// excepted there). A radio button is as high as the label around it.
const Misfits = `(() => {
  const bad = [];
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth + 1) { // widths are rounded
    bad.push("the page is " + page.scrollWidth + " px wide in a window of " + page.clientWidth);
    for (const e of document.querySelectorAll("body *")) {
      if (e.getBoundingClientRect().right > page.clientWidth + 1 && !e.closest(".wide, .report, .sheets, pre, textarea"))
        bad.push("wide: " + e.outerHTML.slice(0, 80));
    }
    const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
    while (words.nextNode()) {
      range.selectNodeContents(words.currentNode);
      if (range.getBoundingClientRect().right > page.clientWidth + 1 &&
          !words.currentNode.parentElement.closest(".unseen, .wide, .report, .sheets, pre, textarea"))
        bad.push("wide words: " + words.currentNode.textContent.slice(0, 80));
    }
  }
  const controls = "button, a.button, input:not([type=radio]):not([type=checkbox]):not([type=hidden]), textarea, select, " +
    "summary, .choice, .line, nav a, .problems a, .studies a, .downloads a";
  for (const e of document.querySelectorAll(controls)) {
    const box = e.getBoundingClientRect();
    if (box.height > 0 && box.height < 44) bad.push("only " + box.height + " px high: " + e.outerHTML.slice(0, 80));
  }
  return bad.slice(0, 5);
})()`

// lost lists text that is cut: where the words do not fit a box that hides what
// runs over. What only screen readers get, and paper, is left out.
const lost = `[...document.querySelectorAll("main *")].filter((e) => {
  if (e.closest(".unseen, .labels, .sheets, .line, select, svg") || !e.textContent.trim()) return false;
  const style = getComputedStyle(e), head = e.closest("thead");
  if (head && getComputedStyle(head).position === "absolute") return false; // each cell says its heading
  const hides = (x) => ["hidden", "clip"].includes(x);
  return hides(style.overflowX) && e.scrollWidth > e.clientWidth + 2 ||
      hides(style.overflowY) && e.scrollHeight > e.clientHeight + 2;
}).map((e) => "cut: " + e.outerHTML.slice(0, 100)).slice(0, 5)`

// enlarge sets the page's letters to a multiple of their size.
const enlarge = `((times) => { const root = document.documentElement; root.style.fontSize = "";
  root.style.fontSize = parseFloat(getComputedStyle(root).fontSize) * times + "px"; return true; })`

// windows are the sizes in which pages are looked at: phone, tablet, desk.
var windows = [][2]int64{{360, 740}, {820, 1180}, {1280, 800}}

// look is a scheme of colours and the rules that are asked for in it.
type look struct{ scheme, rules string }

// looks returns how axe-core looks at a window. The dark comes first on a phone, so
// that the page is light from then on; the tablet has the styles of one of the others.
func looks(size [2]int64) []look {
	switch size {
	case windows[0]:
		return []look{{"dark", colours}, {"light", AllRules}}
	case windows[1]:
		return nil
	}
	return []look{{"light", AllRules}}
}

// LooksSound checks the page that a browser shows: in every window content fits and
// controls are large enough, with letters twice as large too; axe-core finds nothing
// on a phone, in light and in the dark, and on a desk.
func LooksSound(t *testing.T, ctx context.Context, name, script string) {
	t.Helper()
	note := func(where string, bad []string) {
		if len(bad) > 0 {
			t.Errorf("%s, %s:\n%s", name, where, strings.Join(bad, "\n"))
		}
	}
	scheme := func(value string) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	is := ""
	for _, size := range windows {
		Run(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
		for _, look := range looks(size) {
			if look.scheme != is {
				scheme(look.scheme)
				is = look.scheme
			}
			bad, err := Inspect(ctx, script, look.rules)
			if err != nil {
				t.Fatalf("%s: axe-core: %v", name, err)
			}
			note(fmt.Sprintf("%d × %d, %s", size[0], size[1], look.scheme), bad)
		}
		note(fmt.Sprintf("%d × %d", size[0], size[1]), Eval[[]string](t, ctx, Misfits))
		Eval[bool](t, ctx, enlarge+"(2)")
		note(fmt.Sprintf("%d × %d, letters twice as large", size[0], size[1]),
			append(Eval[[]string](t, ctx, Misfits), Eval[[]string](t, ctx, lost)...))
		Eval[bool](t, ctx, enlarge+"(1)")
	}
	Run(t, ctx, chromedp.EmulateViewport(320, 640)) // WCAG 2.2, 1.4.10: no scrolling sideways at 320 px
	note("320 × 640", Eval[[]string](t, ctx, Misfits))
}
