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
	"github.com/chromedp/cdproto/page"
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

// allRules are those of WCAG 2.0 to 2.2, levels A and AA.
const allRules = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]`

// wholePage is what axe-core looks at where it is not told to look at less.
const wholePage = "document"

// structure are axe-core's rules of good practice on headings and landmarks: levels of headings
// without gaps, one first heading, everything in a landmark, each landmark once or named.
const structure = `"heading-order": {enabled: true}, "page-has-heading-one": {enabled: true},
  "empty-heading": {enabled: true}, "region": {enabled: true}, "skip-link": {enabled: true},
  "tabindex": {enabled: true}, "landmark-one-main": {enabled: true}, "landmark-unique": {enabled: true},
  "landmark-no-duplicate-main": {enabled: true}, "landmark-no-duplicate-banner": {enabled: true},
  "landmark-no-duplicate-contentinfo": {enabled: true}, "landmark-main-is-top-level": {enabled: true},
  "landmark-banner-is-top-level": {enabled: true}, "landmark-contentinfo-is-top-level": {enabled: true},
  "landmark-complementary-is-top-level": {enabled: true}`

// exceptContrast are the rules but for the one that costs as much as all others together:
// [faint] says the same, see there.
const exceptContrast = `{runOnly: ` + allRules + `, rules: {"color-contrast": {enabled: false}}`

// wholePages adds what says something of a page as a whole alone.
const wholePages = `{runOnly: ` + allRules + `, rules: {"color-contrast": {enabled: false}, ` + structure + `}`

// onlyContrast is that rule, for what [faint] leaves to it.
const onlyContrast = `{runOnly: {type: "rule", values: ["color-contrast"]}`

// runAxe does not ask for what nobody reads: selectors of elements, what passed, style
// sheets a second time.
func runAxe(where, rules string) string {
	return `((where) => where.length === 0 ? "[]" : axe.run(where, ` + rules + `,
    resultTypes: ["violations"], selectors: false, preload: false, iframes: false}).then(r =>
  JSON.stringify(r.violations.map(v => v.id + ": " + v.help + "\n  " +
    v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " — " +
    n.failureSummary.split("\n").slice(1, 2).join("").trim()).join("\n  ")))))(` + where + `)`
}

// Violations returns what axe-core finds on a page. A page that goes on by itself,
// as a rinse does, may leave in the middle: it is opened again, three times at most.
func Violations(t *testing.T, ctx context.Context, url, script string) []string {
	t.Helper()
	var list []string
	var err error
	for range 3 {
		if err = chromedp.Do(ctx, chromedp.Navigate(url)); err == nil {
			list, err = Inspect(ctx, script)
		}
		if err == nil {
			return list
		}
	}
	t.Fatalf("axe-core on %s: %v", url, err)
	return nil
}

// Inspect runs axe-core over the page that a browser shows.
func Inspect(ctx context.Context, script string) ([]string, error) {
	return inspect(ctx, script, wholePage, `{runOnly: `+allRules+`, rules: {`+structure+`}`)
}

// inspect is [Inspect] for the part of a page that a script names, by some rules.
func inspect(ctx context.Context, script, where, rules string) ([]string, error) {
	if err := bring(ctx, script); err != nil {
		return nil, err
	}
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](runAxe(where, rules), chromedp.EvalAwaitPromise))
	if err != nil {
		return nil, err
	}
	var list []string
	return list, json.Unmarshal([]byte(got), &list)
}

// bring gives axe-core to the page that a browser shows, and to those that follow in the
// same tab: the script is half a megabyte, and to send it takes longer than to run it.
func bring(ctx context.Context, script string) error {
	has, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`"axe" in window`))
	if err != nil || has {
		return err
	}
	_, err = chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument,
		page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
	if err == nil {
		_, err = chromedp.Run(ctx, chromedp.Evaluate[bool](script+"; true"))
	}
	return err
}

// Misfits lists what does not fit the window: content wider than it (WCAG 2.2,
// 1.4.10), and controls less than 44 px high (2.5.5; links in running text are
// excepted there) or 24 px wide (2.5.8). A radio button is as high as the label around it.
const Misfits = `(() => {
  const bad = [];
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth + 1) { // widths are rounded
    bad.push("the page is " + page.scrollWidth + " px wide in a window of " + page.clientWidth);
    for (const e of document.querySelectorAll("body *")) {
      if (e.getBoundingClientRect().right > page.clientWidth + 1 &&
          !e.closest(".wide, .report, .sheets, pre, textarea"))
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
  const controls = "button, a.button, input:not([type=radio]):not([type=checkbox]):not([type=hidden]), textarea, " +
    "select, " +
    "summary, .choice, .line, nav a, .problems a, .studies a, .downloads a";
  for (const e of document.querySelectorAll(controls)) {
    const box = e.getBoundingClientRect();
    if (box.height > 0 && (box.height < 44 || box.width < 24))
      bad.push("only " + box.width + " × " + box.height + " px: " + e.outerHTML.slice(0, 80));
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

// LooksSound checks the page that a browser shows: on phone, tablet and desk content fits
// and controls are large enough, with letters twice as large too; words stand out in the
// light and in the dark; axe-core finds nothing on a phone, nor in what a desk adds to it.
func LooksSound(t *testing.T, ctx context.Context, name, script string) {
	t.Helper()
	if bad := Unsound(t, ctx, script); len(bad) > 0 {
		t.Errorf("%s:\n%s", name, strings.Join(bad, "\n"))
	}
}

// Unsound lists what [LooksSound] finds.
func Unsound(t *testing.T, ctx context.Context, script string) []string {
	t.Helper()
	l := look{t: t, ctx: ctx, script: script}
	l.window(360, 740)
	l.axe(wholePage, wholePages)
	l.contrast("light")
	Eval[bool](t, ctx, remember)
	l.scheme("dark")
	l.list("in the dark", faint)
	l.scheme("light")
	l.fits()
	l.window(820, 1180)
	l.fits()
	l.window(1280, 800)
	l.axe(fresh, exceptContrast)
	l.contrast("light")
	l.fits()
	l.window(320, 640) // WCAG 2.2, 1.4.10: no scrolling sideways at 320 px
	l.list("", Misfits)
	return l.bad
}

// look is a page as it is looked at.
type look struct {
	t      *testing.T
	ctx    context.Context
	script string // axe-core's
	size   string // of the window
	bad    []string
}

func (l *look) window(width, height int64) {
	l.t.Helper()
	l.size = fmt.Sprintf("%d × %d", width, height)
	Run(l.t, l.ctx, chromedp.EmulateViewport(width, height))
}

func (l *look) scheme(value string) {
	l.t.Helper()
	_, err := chromedp.Call(l.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}},
	})
	if err != nil {
		l.t.Fatal(err)
	}
}

// fits checks that everything fits the window, with letters twice as large too.
func (l *look) fits() {
	l.t.Helper()
	l.list("", Misfits)
	Eval[bool](l.t, l.ctx, enlarge+"(2)")
	l.list("letters twice as large", Misfits)
	l.list("letters twice as large", lost)
	Eval[bool](l.t, l.ctx, enlarge+"(1)")
}

// contrast checks that words stand out.
func (l *look) contrast(how string) {
	l.t.Helper()
	l.list(how, faint)
	l.axe("elsewhere", onlyContrast)
}

// axe has axe-core look at a part of the page, by some rules.
func (l *look) axe(where, rules string) {
	l.t.Helper()
	bad, err := inspect(l.ctx, l.script, where, rules)
	if err != nil {
		l.t.Fatalf("axe-core: %v", err)
	}
	l.note("axe-core", bad)
}

// list notes what a script lists.
func (l *look) list(how, script string) {
	l.t.Helper()
	l.note(how, Eval[[]string](l.t, l.ctx, script))
}

func (l *look) note(how string, bad []string) {
	for _, x := range bad {
		l.bad = append(l.bad, strings.TrimSpace(l.size+" "+how)+": "+x)
	}
}
