package servertest

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Keys is somebody who works pages by the keyboard alone.
type Keys struct {
	T   *testing.T
	Ctx context.Context
}

// mostTabs is how often one presses Tab on a page before one gives up.
const mostTabs = 120

// focused says where the focus is after a press of Tab. The order is sensible where each press
// leads on in the page, but for the one that starts again at its top. A date has several stops.
const focused = `((wanted) => {
  const e = document.activeElement, was = window.wasAt;
  window.wasAt = e;
  const rings = [e, e.closest(".choice")].filter(Boolean).map((x) => getComputedStyle(x));
  const box = e.getBoundingClientRect();
  return {
    here: e.matches(wanted), stuck: e === was && e !== document.body && e.type !== "date",
    seen: e === document.body || rings.some((s) => s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) &&
      box.bottom > 0 && box.top < innerHeight,
    back: Boolean(was?.isConnected && was !== document.body && e !== document.body &&
      was.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_PRECEDING),
    what: e.outerHTML.slice(0, 120),
  };
})`

// Reach presses Tab until the focus is on what a selector names. The focus is seen wherever it
// is, goes down the page and is caught nowhere (WCAG 2.2, 2.1.2, 2.4.3 and 2.4.7).
func (k Keys) Reach(selector string) {
	k.T.Helper()
	again := false
	for range mostTabs {
		k.Type(kb.Tab)
		at := Eval[struct {
			Here, Stuck, Seen, Back bool
			What                    string
		}](k.T, k.Ctx, fmt.Sprintf("%s(%q)", focused, selector))
		switch {
		case at.Stuck:
			k.T.Fatalf("the focus is caught at %s", at.What)
		case !at.Seen:
			k.T.Errorf("nobody sees that the focus is at %s", at.What)
		case at.Back && again:
			k.T.Fatalf("%s is not reached; the focus goes back to %s", selector, at.What)
		}
		again = again || at.Back
		if at.Here {
			return
		}
	}
	k.T.Fatalf("%s is not reached by %d presses of Tab", selector, mostTabs)
}

// Type presses keys where the focus is.
func (k Keys) Type(keys string) {
	k.T.Helper()
	Run(k.T, k.Ctx, chromedp.KeyEvent(keys))
}

// Go reaches a button or link, presses Enter and waits for the page that follows.
func (k Keys) Go(selector string) {
	k.T.Helper()
	k.Reach(selector)
	Run(k.T, k.Ctx, chromedp.Evaluate[chromedp.Void](`void (window.pressed = true)`))
	k.Type(kb.Enter)
	Poll(k.T, k.Ctx, `window.pressed !== true`)
}
