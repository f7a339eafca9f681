package server_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// misfits lists what does not fit the window: content wider than it (WCAG 2.2,
// 1.4.10), and controls less than 44 px high (2.5.5; links in running text are
// excepted there). A radio button is as high as the label around it.
const misfits = `(() => {
  const bad = [];
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth + 1) { // widths are rounded
    bad.push("the page is " + page.scrollWidth + " px wide in a window of " + page.clientWidth);
    for (const e of document.querySelectorAll("body *")) {
      if (e.getBoundingClientRect().right > page.clientWidth + 1 && !e.closest(".wide, .report, .sheets, pre, textarea")) bad.push("wide: " + e.outerHTML.slice(0, 80));
    }
    const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
    while (words.nextNode()) {
      range.selectNodeContents(words.currentNode);
      if (range.getBoundingClientRect().right > page.clientWidth + 1 && !words.currentNode.parentElement.closest(".unseen, .wide, .report, .sheets, pre, textarea")) bad.push("wide words: " + words.currentNode.textContent.slice(0, 80));
    }
  }
  const controls = "button, a.button, input:not([type=radio]):not([type=checkbox]):not([type=hidden]), textarea, select, summary, .choice, .line, nav a, .problems a, .studies a, .downloads a";
  for (const e of document.querySelectorAll(controls)) {
    const box = e.getBoundingClientRect();
    if (box.height > 0 && box.height < 44) bad.push("only " + box.height + " px high: " + e.outerHTML.slice(0, 80));
  }
  return bad.slice(0, 5);
})()`

// TestScreensFitAPhone opens every screen with the longest texts in a narrow
// window, and once more with letters twice as large.
func TestScreensFitAPhone(t *testing.T) {
	f := newFixture(t)
	paths, prepare := f.everyScreen(longest())
	ctx := browser(t, 320, 640, false)
	for _, size := range []string{"", "225%"} { // 225 % is twice our 112.5 %
		if size != "" {
			run(t, ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile))
		}
		for _, path := range paths {
			if do := prepare[path]; do != nil && size == "" {
				do()
			}
			if path == "/studies" && size == "" {
				run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
				press(t, ctx, "main .next")
			}
			run(t, ctx, chromedp.Navigate(f.web.URL+path))
			if size != "" {
				eval[string](t, ctx, fmt.Sprintf("document.documentElement.style.fontSize = %q", size))
			}
			if bad := eval[[]string](t, ctx, misfits); len(bad) > 0 {
				t.Errorf("%s with text at %q:\n%s", path, size, strings.Join(bad, "\n"))
			}
		}
	}
}
