package server_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// zoned is a time of day with its zone, as pages write it.
var zoned = regexp.MustCompile(`(.{0,40})\b\d\d:\d\d ([A-Z]{3,4}|[+-]\d\d)\b`)

// TestTimesAreThoseOfTheStudysZone has studies in two zones, on a machine in a third, and opens
// every page of each that its own pages lead to: each time that names its zone is in the study's,
// and in the list of studies each has its own. The end of grace, which names none, is that of the
// house on its wall, on the board, the guest's phone and the floor's.
func TestTimesAreThoseOfTheStudysZone(t *testing.T) {
	f := servertest.New(t) // 20 November 2026, 19:00 UTC
	lead := f.Lead()
	for _, x := range []struct{ zone, short, ends, day string }{
		{"Asia/Tokyo", "JST", "04:05", "2026-11-21"},
		{"America/New_York", "EST", "14:05", "2026-11-20"},
	} {
		file := strings.Replace(servertest.Custard, "seed: 7", "time zone: "+x.zone+", seed: 7", 1)
		closed, _ := f.InState(file, panel.Closed)
		open, join := f.InState(file, panel.Open)
		guest := f.Begun(join)
		f.Must(f.Svc.LastCall(t.Context(), servertest.ByLead, open))
		f.Must(f.Svc.BeginClose(t.Context(), servertest.ByLead, open))
		for _, id := range []panel.StudyID{closed, open} {
			pages, times := walked(lead, "/studies/"+string(id))
			if pages < 8 || len(times) < 2 {
				t.Errorf("%d pages with %d times were found", pages, len(times))
			}
			for page, zone := range times {
				if zone != x.short && !strings.Contains(page, "analysis was fixed on") { // of a paper: in UTC
					t.Errorf("%s: %s of a study in %s", page, zone, x.zone)
				}
			}
		}
		if text := lead.Get("/studies/" + string(open)).HTML().Text(); !strings.Contains(text, "until "+x.ends) {
			t.Errorf("the board does not say %q:\n%s", x.ends, text)
		}
		if text := f.Visitor().Get(guest).HTML().Text(); !strings.Contains(text, x.ends) {
			t.Errorf("the phone does not say %q:\n%s", x.ends, text)
		}
		if !strings.Contains(lead.Get("/studies").HTML().Text(), x.short) {
			t.Errorf("the list of studies has no time in %s", x.short)
		}
		name := lead.Get("/studies/" + string(closed) + "/key.csv").Header.Get("Content-Disposition")
		if !strings.Contains(name, x.day) {
			t.Errorf("a download is named %s, want the day %s of the house", name, x.day)
		}
		log := lead.Get("/studies/" + string(closed) + "/log.txt").Body
		if !strings.Contains(log, "2026-11-20T19:00:00.000000Z") {
			t.Errorf("the log as a file does not keep to UTC: %.200s", log)
		}
		if at := f.InPackage(closed, "ratings.csv"); !strings.Contains(at, "2026-11-20T19:00:00Z") {
			t.Errorf("the data do not keep to UTC: %.300s", at)
		}
	}
}

// walked follows the links below an address, and returns how many pages it opened and the zone of
// each time on them, by page and time.
func walked(v *servertest.Visitor, from string) (pages int, times map[string]string) {
	times = map[string]string{}
	seen, todo := map[string]bool{from: true}, []string{from}
	for len(todo) > 0 {
		path := todo[0]
		todo = todo[1:]
		p := v.Get(path)
		if !strings.HasPrefix(p.Header.Get("Content-Type"), "text/html") {
			continue
		}
		pages++
		doc := p.HTML()
		for _, m := range zoned.FindAllStringSubmatch(doc.Text(), -1) {
			times[fmt.Sprint(path, ": ", m[0])] = m[2]
		}
		doc.Find("a[href]").Each(func(_ int, a *goquery.Selection) {
			to, _, _ := strings.Cut(a.AttrOr("href", ""), "#")
			to, _, _ = strings.Cut(to, "?")
			download := slices.ContainsFunc([]string{".csv", ".zip", ".json", ".png", ".svg", ".txt", ".xlsx"},
				func(end string) bool { return strings.HasSuffix(to, end) })
			if strings.HasPrefix(to, from) && !seen[to] && !download {
				seen[to] = true
				todo = append(todo, to)
			}
		})
	}
	return pages, times
}

// TestMachinesZoneHoldsWhereAStudySaysNone: times are then those of the machine.
func TestMachinesZoneHoldsWhereAStudySaysNone(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.Zone() != time.Local {
		t.Errorf("the zone is %s", stored.Zone())
	}
}
