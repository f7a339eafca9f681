package ranks

import (
	"math"
	"testing"

	"cloche/internal/stats/statstest"
)

// Of two samples the worth is the share that puts one first; the log odds of a share have the
// variance 1/(n·p·q).
func TestWorthsOfTwoAreShares(t *testing.T) {
	var rows [][]float64
	for i := range 40 {
		rows = append(rows, [][]float64{{1, 2}, {2, 1}}[min(1, i%5)])
	}
	r := statstest.Must(Worths(rows, 0.95))
	middle, reach := math.Log(0.2/0.8), 1.959963984540054*math.Sqrt(1/(40*0.2*0.8))
	for i, got := range []float64{r.Worth[0], r.Worth[1], r.CI[0].Lo, r.CI[0].Hi} {
		want := []float64{0.2, 0.8, 1 / (1 + math.Exp(reach-middle)), 1 / (1 + math.Exp(-reach-middle))}[i]
		if math.Abs(got-want) > 1e-10 {
			t.Errorf("value %d is %v, want %v", i, got, want)
		}
	}
}

// What a sample is worth does not hang on which column it stands in, nor on the order of people.
func TestWorthsGoWithTheirSamples(t *testing.T) {
	rows := [][]float64{{1, 2, 3, 4}, {2, 1, 3, 4}, {4, 3, 2, 1}, {1, 3, 2, 4}, {3, 1, 4, 2}, {2, 4, 1, 3}}
	var turned [][]float64
	for i := range rows {
		row := rows[len(rows)-1-i]
		turned = append(turned, []float64{row[2], row[0], row[3], row[1]})
	}
	a, b := statstest.Must(Worths(rows, 0.9)), statstest.Must(Worths(turned, 0.9))
	sum := 0.0
	for j, from := range []int{2, 0, 3, 1} {
		sum += a.Worth[j]
		if math.Abs(b.Worth[j]-a.Worth[from]) > 1e-12 || math.Abs(b.CI[j].Lo-a.CI[from].Lo) > 1e-10 {
			t.Errorf("sample %d: %v %+v, elsewhere %v %+v", from, a.Worth[from], a.CI[from], b.Worth[j], b.CI[j])
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("worths add up to %v", sum)
	}
}

func TestWorthsWithoutBounds(t *testing.T) {
	for name, rows := range map[string][][]float64{
		"one is always first":      {{1, 2, 3}, {1, 3, 2}, {1, 2, 3}},
		"two are always the first": {{1, 2, 3, 4}, {2, 1, 4, 3}},
		"one person":               {{2, 1, 3}},
	} {
		r := statstest.Must(Worths(rows, 0.95))
		if len(r.Warnings) != 1 || r.Warnings[0].Code != WarnNoWorths || !math.IsNaN(r.Worth[0]) ||
			!math.IsNaN(r.CI[0].Lo) {
			t.Errorf("%s: %+v", name, r)
		}
	}
	for name, rows := range map[string][][]float64{"nobody": {}, "one sample": {{1}}, "a double": {{1, 1, 2}},
		"a gap": {{1, 2, 4}}, "a half": {{1, 2.5, 3}}, "too short": {{1, 2, 3}, {1, 2}}, "nothing": {{math.NaN(), 1}}} {
		if _, err := Worths(rows, 0.95); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
