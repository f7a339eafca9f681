package phone_test

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestOneMissingAnswerReadsAsWords reads from the screen what a phone says when one
// answer is missing: as it is written, without quotation marks.
func TestOneMissingAnswerReadsAsWords(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+f.Begun(join)),
		chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)), chromedp.Click(chromedp.CSS("form .next")),
		chromedp.WaitVisible(chromedp.CSS(".problems")))
	if got, want := servertest.Text(t, phone, ".problems h2"), words.In("en").OneWrong; got != want {
		t.Errorf("the phone says %q, want %q", got, want)
	}
}

// handler finds attributes that the template engine takes for scripts or addresses,
// and escapes as such: data- and then on, or with src, uri or url in their names.
var handler = regexp.MustCompile(`data-(on[a-z-]*|[a-z-]*(?:src|uri|url)[a-z-]*)=`)

func TestNoDataAttributeIsTakenForAScript(t *testing.T) {
	t.Parallel()
	for _, pattern := range []string{"*.html", "*/*.html"} {
		files, err := filepath.Glob("../../../../web/templates/" + pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("%d templates, %v", len(files), err)
		}
		for _, name := range files {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if bad := handler.Find(text); bad != nil {
				t.Errorf("%s has %s, which is escaped as a script or an address: rename it", filepath.Base(name), bad)
			}
		}
	}
}
