package dose

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/simulated"
)

// drawnAnswers are answers of people whose thresholds scatter around middle.
func drawnAnswers(r *rand.Rand, c []float64, n int, middle, spread, slope float64) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		own := math.Log10(middle) + spread*r.NormFloat64()
		for _, x := range c {
			p := 1./3 + 2./3/(1+math.Exp(-slope*(math.Log10(x)-own)))
			right := 0.0
			if r.Float64() < p {
				right = 1
			}
			rows[i] = append(rows[i], right)
		}
	}
	return rows
}

// The estimates are those of the curve through all answers; the order of people is without
// effect; another unit moves the threshold and its ends by its factor; without an answer at
// one amount by anybody that amount is without effect.
func TestCurveOfPeopleProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		c := []float64{0.25, 0.5, 1, 2, 4, 8}
		rows := drawnAnswers(r, c, rapid.IntRange(8, 40).Draw(t, "people"), 1, 0.3, 8)
		a, err := CurveOfPeople(c, rows, 1./3, 0)
		if err != nil {
			t.Fatal(err)
		}
		points, tenfold, turned := make([]CurvePoint, len(c)), make([]float64, len(c)), make([][]float64, len(rows))
		for j, x := range c {
			tenfold[j], points[j].Concentration = 10*x, x
			for i, row := range rows {
				points[j].N++
				points[j].Correct += int(row[j])
				turned[len(rows)-1-i] = row
			}
		}
		pooled, err := PsychometricCurve(points, 1./3, 0)
		if err != nil || !alike(pooled.Threshold, a.Threshold) || !alike(pooled.Slope, a.Slope) {
			t.Fatalf("pooled %v, of people %v: %v", pooled.Threshold, a.Threshold, err)
		}
		b, err := CurveOfPeople(tenfold, turned, 1./3, 0)
		if err != nil || !alike(b.Threshold, 10*a.Threshold) || !tenTimes(b.ThresholdCI.Lo, a.ThresholdCI.Lo, a.G) ||
			!tenTimes(b.ThresholdCI.Hi, a.ThresholdCI.Hi, a.G) || !alike(b.SlopeSE, a.SlopeSE) {
			t.Fatalf("%+v\n%+v\n%v", a, b, err)
		}
		more, none := append([]float64{0.1}, c...), make([][]float64, len(rows))
		for i, row := range rows {
			none[i] = append([]float64{math.NaN()}, row...)
		}
		d, err := CurveOfPeople(more, none, 1./3, 0)
		if err != nil || !alike(d.Threshold, a.Threshold) || !tenTimes(10*d.ThresholdCI.Hi, a.ThresholdCI.Hi, a.G) {
			t.Fatalf("an amount without answers: %v, want %v: %v", d.Threshold, a.Threshold, err)
		}
	})
}

// tenTimes holds an end of Fieller's interval to ten times another on the scale of logarithms.
// The end divides by 1-g, so that errors of the estimates grow as g comes near 1.
func tenTimes(a, b, g float64) bool {
	if g > 0.99 { // the ends may leave the range of numbers, and then are not given
		return true
	}
	if math.IsNaN(a) || math.IsNaN(b) {
		return math.IsNaN(a) && math.IsNaN(b)
	}
	want := 1 + math.Log10(b)
	return math.Abs(math.Log10(a)-want) <= 1e-7*math.Max(1, math.Abs(want))/(1-g)
}

func alike(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-6*math.Max(math.Abs(a), math.Abs(b))
}

func TestCurveOfPeopleRefuses(t *testing.T) {
	t.Parallel()
	c := []float64{1, 2, 4}
	for name, rows := range map[string][][]float64{"short": {{1, 0}}, "half right": {{1, 0.5, 0}}, "nobody": nil} {
		if _, err := CurveOfPeople(c, rows, 1./3, 0); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	one, err := CurveOfPeople([]float64{1, 2, 4, 8}, [][]float64{{0, 1, 0, 1}}, 0.25, 0)
	if err != nil || !one.ThresholdCI.Absent() {
		t.Errorf("one person: %+v, %v", one, err)
	}
}

// TestCurveOfPeopleCovers: where people differ much, the interval holds the amount that half
// of them taste about as often as it says; one that takes answers as independent is shorter.
func TestCurveOfPeopleCovers(t *testing.T) {
	t.Parallel()
	c := []float64{0.25, 0.5, 1, 2, 4, 8}
	n := simulated.Studies(4000)
	hit, all := 0, 0
	for i := range n {
		r := rand.New(rand.NewPCG(77, uint64(i)))
		got, err := CurveOfPeople(c, drawnAnswers(r, c, 30, 1.3, 0.35, 12), 1./3, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if got.ThresholdCI.Absent() {
			continue
		}
		all++
		if got.ThresholdCI.Lo <= 1.3 && 1.3 <= got.ThresholdCI.Hi {
			hit++
		}
	}
	share := float64(hit) / float64(all)
	t.Logf("%d of %d intervals hold the truth; %d had none", hit, all, n-all)
	if se := math.Sqrt(0.95 * 0.05 / float64(all)); share < 0.95-0.01-4*se || share > 0.95+0.03+4*se {
		t.Errorf("%d of %d", hit, all)
	}
}

// A slope that is barely clear gives an end beyond the largest number: no interval, and its reason.
func TestCurveWithoutFiniteEnd(t *testing.T) {
	t.Parallel()
	r := CurveResult{Intercept: -0.5075736943387846, Slope: 3.8831678794355797}
	r.limits([3]float64{0.297, -0.2, 2.834995515744}, 2.3060041352041685, 0.95)
	if r.G >= 1 || r.G < 0.999 || !r.ThresholdCI.Absent() || len(r.Warnings) != 1 {
		t.Errorf("g = %v: interval %v, warnings %v", r.G, r.ThresholdCI, r.Warnings)
	}
}
