package server_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/server/servertest"
)

// TestEveryScreenIsSound opens every screen with usual and with the longest
// texts, without a browser: the visitor checks each page.
func TestEveryScreenIsSound(t *testing.T) {
	for name, file := range map[string]string{"usual texts": servertest.Custard,
		"longest texts": servertest.Longest()} {
		t.Run(name, func(t *testing.T) {
			f := servertest.New(t)
			paths, prepare := f.EveryScreen(file)
			v := f.Visitor()
			assets := map[string]bool{}
			for _, path := range paths {
				if do := prepare[path]; do != nil {
					do()
				}
				if path == "/studies" {
					v = f.Lead()
				}
				p := v.Get(path)
				if p.Status != http.StatusOK || p.Path != path && !strings.Contains(path, "?") {
					t.Errorf("%s ends at %s with status %d", path, p.Path, p.Status)
				}
				p.HTML().Find("link[href], script[src]").Each(func(_ int, x *goquery.Selection) {
					assets[x.AttrOr("href", x.AttrOr("src", ""))] = true
				})
			}
			for path := range assets {
				if p := v.Get(path); p.Status != http.StatusOK ||
					!strings.Contains(p.Header.Get("Cache-Control"), "immutable") {
					t.Errorf("asset %s: status %d, Cache-Control %q", path, p.Status, p.Header.Get("Cache-Control"))
				}
			}
		})
	}
}

func TestLongTextsAreNotCut(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(servertest.Longest())
	names := p.HTML().Find(".name").Text()
	if got := p.HTML().Find(".ends").Text(); got != servertest.LongEnd+servertest.LongEnd+"!" {
		t.Errorf("end words %q", got)
	}
	p = v.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5")
	if names += p.HTML().Find(".name").Text(); !strings.Contains(names, servertest.LongName) {
		t.Errorf("names %q, want one to be %q", names, servertest.LongName)
	}
}
