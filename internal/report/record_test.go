package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// The sentences of a record say what its intervals say, over random records to the ends of
// the range.
func TestRecordWordsAreTrue(t *testing.T) {
	t.Parallel()
	for seed := range uint64(500) {
		r := rand.New(rand.NewPCG(seed, 84))
		truth := 40 * r.NormFloat64() * r.Float64() * r.Float64()
		var found []analysis.FoundDifference
		for i := range 1 + r.IntN(8) {
			n, sd := 2+r.IntN(60), 25*r.Float64()
			if r.IntN(10) == 0 {
				sd = 0
			}
			found = append(found, analysis.FoundDifference{Study: fmt.Sprint(i), Question: study.Naming,
				Contrast: analysis.ContrastNames, Asked: "How salty is it?", Scale: study.Line, To: 100, People: n,
				SD:      sd,
				Samples: [2]string{"“Sea custard”", "“Custard”"}, Decides: true, Smallest: float64(5 * r.IntN(2)),
				Difference: truth + 4*r.NormFloat64() + sd/math.Sqrt(float64(n))*r.NormFloat64()})
		}
		for _, x := range analysis.Records(found) {
			if why := untrueOf(x, report.RecordWords(x, report.English)); why != "" {
				t.Errorf("seed %d: %s\n%+v\n%+v", seed, why, report.RecordWords(x, report.English), x.Together)
			}
		}
	}
}

func untrueOf(x analysis.Record, w report.RecordText) string {
	mean, ci, usable := x.Studies[0].Difference, x.Intervals[0], 1
	if x.Together != nil {
		mean, ci, usable = x.Together.Mean, x.Together.CI, 0
		for _, own := range x.Intervals {
			if !own.Absent() {
				usable++
			}
		}
	}
	count := "In one study"
	if usable > 1 {
		count = fmt.Sprintf("In %d studies", usable)
	}
	smallest := x.Smallest()
	zero := !(ci.Lo > 0 || ci.Hi < 0)
	switch said := w.Said; {
	case !strings.HasPrefix(said, count):
		return "it counts otherwise than " + count
	case strings.Contains(said, " higher than ") && (zero || mean < 0),
		strings.Contains(said, " lower than ") && (zero || mean > 0):
		return "the direction is not known, or another"
	case strings.Contains(said, "smaller than the") && !(ci.Lo > -smallest && ci.Hi < smallest):
		return "it may be as large as what they would act on"
	case strings.Contains(said, "not known") && !zero && !ci.Absent():
		return "it is known"
	case strings.Contains(said, "everybody moved alike") != ci.Absent():
		return "who moved alike?"
	case strings.Contains(said+w.Next+w.Repeat, "–"), strings.Contains(said+w.Next+w.Repeat, "NaN"):
		return "a number is missing"
	}
	if p := x.Together; p != nil && strings.Contains(w.Next, "either "+
		"side") != (p.Prediction.Lo <= 0 && p.Prediction.Hi >= 0) {
		return "the further evening lies elsewhere"
	}
	if strings.Contains(w.Repeat, "points or "+
		"more") && !(smallest > 0 && zero && (ci.Hi >= smallest || ci.Lo <= -smallest)) {
		return "it cannot be that much"
	}
	if strings.HasPrefix(w.Repeat, "Nothing is "+
		"left") && (x.Together == nil || zero && !(ci.Lo > -smallest && ci.Hi < smallest)) {
		return "something is left to find out"
	}
	return ""
}

// What stands beside a study that might have stopped early says how it counts, and no other study's does.
func TestRecordSaysHowEarlyStopsCount(t *testing.T) {
	f := analysis.FoundDifference{Asked: "How salty is it?", From: 0, To: 100, People: 20, SD: 10, Difference: 8,
		Samples: [2]string{"a", "b"}, Decides: true}
	looked, counted := f, f
	looked.Stopping, looked.Low, looked.High = analysis.StopsByLooks, 1, 13
	counted.Stopping, counted.Low, counted.High = analysis.StopsByEvidence, -1, 17
	for _, x := range []struct {
		of   []analysis.FoundDifference
		mind []string
	}{
		{[]analysis.FoundDifference{f}, nil},
		{[]analysis.FoundDifference{looked}, []string{"those that allow for them."}},
		{[]analysis.FoundDifference{f, counted}, []string{"holds whenever one stops", "length of its interval"}},
		{[]analysis.FoundDifference{looked, counted}, []string{"allow for them", "whenever one stops",
			"length of its interval"}},
	} {
		r := analysis.Records(x.of)[0]
		mind := strings.Join(report.RecordWords(r, report.English).Mind, "\n")
		for _, words := range x.mind {
			if !strings.Contains(mind, words) {
				t.Errorf("%d studies: %q lacks %q", len(x.of), mind, words)
			}
		}
		if len(x.mind) == 0 && strings.Contains(mind, "stop") {
			t.Errorf("no study may stop: %q", mind)
		}
	}
	r := analysis.Records([]analysis.FoundDifference{looked, counted})[0]
	for i, want := range []string{"+8.0 points (1.0 to 13.0), allowing for its looks",
		"+8.0 points (−1.0 to 17.0), whenever one stops"} {
		if got := report.RecordDifference(r.Studies[i], r.Intervals[i]).String(); got != want {
			t.Errorf("study %d: %q, want %q", i, got, want)
		}
	}
}
