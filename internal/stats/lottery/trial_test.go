package lottery

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Groups of people with one serving each are read without gathering people: the sums are the same.
func TestSingleServingsAreReadAlike(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 1))
	trial := Trial{First: 0, Second: 2, Groups: true}
	for i := range 60 {
		v := random.NormFloat64()
		if i%7 == 0 {
			v = math.NaN()
		}
		trial.Value, trial.Assessor = append(trial.Value, v), append(trial.Assessor, 2*i)
		trial.Sample = append(trial.Sample, int32(random.IntN(3)))
	}
	one, by := newReader(trial), newReader(trial)
	if one.each == nil {
		t.Fatal("one serving each is not seen")
	}
	by.each = nil
	for range 20 {
		sample := make([]int32, len(trial.Sample))
		for i := range sample {
			sample[i] = int32(random.IntN(5)) - 1 // what is not compared, or not served, too
		}
		if got, want := one.read(sample, 2), by.read(sample, 2); got != want {
			t.Fatalf("%+v, want %+v", got, want)
		}
	}
	trial.Assessor[1] = 0
	if newReader(trial).each != nil {
		t.Error("two servings of one assessor are taken for one")
	}
}
