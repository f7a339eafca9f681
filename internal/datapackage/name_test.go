package datapackage

import (
	"mime"
	"regexp"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

func TestFileName(t *testing.T) {
	long := strings.Repeat("celeriac ", 40)
	for title, want := range map[string]string{
		"Does its name change how salty a celeriac custard " +
			"tastes?": "does-its-name-change-how-salty-a-celeriac-custard-tastes",
		"Crème brûlée, Größe & Œuf":          "creme-brulee-grosse-oeuf",
		"The chef’s  own -- soup":            "the-chefs-own-soup",
		"ﬁve ½ ＡＢ":                           "five-1-2-ab",
		"茶碗蒸し":                               "tasting",
		"Борщ":                               "tasting",
		"":                                   "tasting",
		"... --- \x00\r\n":                   "tasting",
		"../../etc/passwd":                   "etc-passwd",
		"a\"; filename=\"b.exe\r\nX-Evil: 1": "a-filename-b-exe-x-evil-1",
		"CON":                                "con",
		long: strings.TrimSuffix(strings.Repeat("celeriac-", 6),
			"-"),
		strings.Repeat("x", 1000): strings.Repeat("x", 60),
		"\xff\xfe soup":           "soup",
	} {
		got := FileName(panel.Study{Spec: &study.Study{Title: title}, ClosedAt: night}, "key.csv", time.Time{})
		if want += "-" + night.Local().Format("2006-01-02") + "-key.csv"; got != want {
			t.Errorf("%.40q is named %s, want %s", title, got, want)
		}
		if !regexp.MustCompile(`^[a-z0-9][-a-z0-9.]{0,99}$`).MatchString(got) {
			t.Errorf("%q is not safe", got)
		}
		_, read, err := mime.ParseMediaType(`attachment; filename="` + got + `"`)
		if err != nil || read["filename"] != got {
			t.Errorf("%q is read from a header as %q: %v", got, read["filename"], err)
		}
	}
}

// TestFileNameHasTheDay is of each state, the last day that changed it first.
func TestFileNameHasTheDay(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 11, d, 12, 0, 0, 0, time.Local) }
	soup := panel.Study{Spec: &study.Study{Title: "Soup"}}
	now := day(27)
	if got := FileName(soup, "data.zip", now); got != "soup-2026-11-27-data.zip" {
		t.Errorf("a draft: %s", got)
	}
	soup.Lock.At = day(19)
	if got := FileName(soup, "data.zip", now); got != "soup-2026-11-19-data.zip" {
		t.Errorf("locked: %s", got)
	}
	soup.ClosedAt = day(21)
	if got := FileName(soup, "data.zip", now); got != "soup-2026-11-21-data.zip" {
		t.Errorf("closed: %s", got)
	}
	if got := FileName(panel.Study{}, "data.zip", now); got != "tasting-2026-11-27-data.zip" {
		t.Errorf("a file that is no study yet: %s", got)
	}
}
