package panel

import (
	"testing"
	"time"

	"cloche/internal/study"
)

// TestServiceDayGoesOnUntilSix: by the clock on the wall, also in the two nights of a year in which that is set.
func TestServiceDayGoesOnUntilSix(t *testing.T) {
	zone := Study{Spec: &study.Study{Serving: study.Serving{Zone: "Europe/Berlin"}}}.Zone()
	for _, x := range []struct{ at, want string }{
		{"2026-03-28 19:00", "2026-03-28"}, {"2026-03-29 05:59", "2026-03-28"}, {"2026-03-29 06:00", "2026-03-29"},
		{"2026-03-29 06:30", "2026-03-29"}, {"2026-03-30 02:30", "2026-03-29"}, {"2026-10-25 01:00", "2026-10-24"},
		{"2026-10-25 05:59", "2026-10-24"}, {"2026-10-25 06:00", "2026-10-25"}, {"2027-01-01 00:30", "2026-12-31"},
	} {
		at, err := time.ParseInLocation("2006-01-02 15:04", x.at, zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := serviceDay(at.UTC(), zone); got != x.want {
			t.Errorf("%s belongs to %s, want %s", x.at, got, x.want)
		}
	}
	if got := serviceDay(time.Time{}, zone); got != "" {
		t.Errorf("no moment belongs to %q", got)
	}
}

// TestZoneIsReadOnce: every page of an evening asks for it, and a list for that of each study.
func TestZoneIsReadOnce(t *testing.T) {
	s := Study{Spec: &study.Study{Serving: study.Serving{Zone: "Asia/Kathmandu"}}}
	if got := s.Zone().String(); got != "Asia/Kathmandu" {
		t.Errorf("the zone is %s", got)
	}
	if n := testing.AllocsPerRun(100, func() { s.Zone() }); n > 2 {
		t.Errorf("it takes %v allocations to ask for it again", n)
	}
}
