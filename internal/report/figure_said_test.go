package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// saidStudy is an example study in which one of two things is said of a turn.
func saidStudy(t *testing.T, file string) *study.Study {
	t.Helper()
	text, err := os.ReadFile("../../studies/" + file + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

// saidAnswers are turns of people, the first of two things said of the first kind with one
// chance and of the other with another; of one kind alone where the other's chance is below 0.
func saidAnswers(s *study.Study, random *rand.Rand, people int, chance [2]float64) (all []analysis.Rating) {
	pair := s.TurnServings() > 1
	for i := range people {
		kind := random.IntN(2)
		if chance[kind] < 0 {
			kind = 1 - kind
		}
		value := 0.0
		if random.Float64() < chance[kind] {
			value = 1
		}
		turn := []study.SampleID{s.Samples[kind].ID}
		if pair { // the same, or not
			turn = []study.SampleID{s.Samples[0].ID, s.Samples[kind].ID}
		}
		for j, x := range turn {
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: j + 1, Sample: x,
				Attribute: s.Question.Response().Answer(), Value: value})
		}
	}
	return all
}

// TestWhatWasSaidIsDrawn: the shares of both kinds stand where their counts say, each within
// its interval, ends of the range included; the table has the counts, and the words d′.
func TestWhatWasSaidIsDrawn(t *testing.T) {
	for _, file := range []string{"same-or-different", "our-custard-or-not"} {
		s := saidStudy(t, file)
		for seed := range uint64(60) {
			random := rand.New(rand.NewPCG(seed, 91))
			chances := [][2]float64{{0.8, 0.4}, {1, 0}, {0.5, 0.5}, {0, 0}, {1, 1}, {0.7, -1}, {-1, 0.3}}
			chance := chances[random.IntN(len(chances))]
			r := analyse(t, s, saidAnswers(s, random, 1+random.IntN(60), chance))
			f, c := r.Findings[0], drawnCase{s, r, report.Build(s, r, report.Options{})}
			where := fmt.Sprintf("%s, seed %d", file, seed)
			figure, ok := c.figure("said")
			if !ok {
				t.Fatalf("%s: nothing is drawn of %+v", where, f.Choice.Said)
			}
			checkSaidDrawn(t, where, f, figure)
		}
	}
}

func checkSaidDrawn(t *testing.T, where string, f analysis.Finding, figure report.Figure) {
	t.Helper()
	o, said := optionOf(t, figure), f.Choice.Said
	shares, ends := o.named("share"), o.named("interval")
	drawn := 0
	for i, n := range [2][2]int{{said.X1, said.N1}, {said.X2, said.N2}} {
		if len(figure.Data.Rows) != 2 || figure.Data.Rows[i][1] != fmt.Sprint(n[0]) ||
			figure.Data.Rows[i][2] != fmt.Sprint(n[1]-n[0]) {
			t.Fatalf("%s: %v of %+v", where, figure.Data.Rows, said)
		}
		if n[1] == 0 {
			continue
		}
		at := shares[drawn]
		lo, hi := ends[2*drawn], ends[2*drawn+1]
		drawn++
		if math.Abs(at[0]-100*float64(n[0])/float64(n[1])) > 1e-9 || at[1] != float64(1-i) || lo[1] != at[1] ||
			!(lo[0] <= at[0] && at[0] <= hi[0] && lo[0] < hi[0]) {
			t.Errorf("%s: %v within %v and %v of %+v", where, at, lo, hi, said)
		}
		if !strings.Contains(figure.Alt, fmt.Sprintf("of %d ", n[1])) {
			t.Errorf("%s: %q does not tell of %d", where, figure.Alt, n[1])
		}
	}
	for _, x := range o.Series {
		for _, d := range x.Data {
			if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
				t.Errorf("%s: %s at %v lies beyond its axes", where, x.Name, d.Value)
			}
		}
	}
	if len(shares) != drawn || strings.Contains(figure.Alt+figure.Caption, "NaN") ||
		strings.Contains(figure.Alt+figure.Caption, "Inf") {
		t.Errorf("%s: %d shares, %q, %q", where, len(shares), figure.Alt, figure.Caption)
	}
	if told := strings.Contains(figure.Alt, "No distance"); told != math.IsNaN(f.Value) {
		t.Errorf("%s: d′ is %g, and it says %q", where, f.Value, figure.Alt)
	}
}
