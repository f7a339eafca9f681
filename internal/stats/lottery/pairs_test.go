package lottery

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The short way reads what the long way reads, to the bit: with ratings missing, samples
// that somebody does not get or gets twice, and samples that the plan did not have.
func TestPairsReadAsTheLongWay(t *testing.T) {
	random := rand.New(rand.NewPCG(10, 11))
	short := 0
	for range 400 {
		k, width := 2+random.IntN(4), 1+random.IntN(5)
		trial := Trial{First: int32(random.IntN(k)), Groups: random.IntN(5) == 0}
		trial.Second = (trial.First + 1 + int32(random.IntN(k-1))) % int32(k)
		twice := random.IntN(3) == 0
		serve := func() []int32 {
			var sample []int32
			for range 7 {
				for j, x := range random.Perm(max(k, width))[:width] {
					if sample = append(sample, int32(x%k)); x >= k && !twice {
						sample[len(sample)-1] = -1
					} else if j > 0 && twice && random.IntN(3) == 0 {
						sample[len(sample)-1] = sample[len(sample)-2]
					}
				}
			}
			return sample
		}
		trial.Sample = serve()
		for i := range trial.Sample {
			trial.Assessor = append(trial.Assessor, i/width)
			v := math.Round(100 * random.NormFloat64())
			if random.IntN(6) == 0 {
				v = math.NaN()
			}
			trial.Value = append(trial.Value, v)
		}
		fast, slow := newReader(trial), newReader(trial)
		slow.pairs = nil
		for range 5 {
			sample := serve()
			if fast.pairs != nil {
				if _, ok := fast.pairs.read(sample); ok {
					short++
				}
			}
			if got, want := fast.read(sample, 0.5), slow.read(sample, 0.5); got != want {
				t.Fatalf("%+v: got %+v, want %+v of %v", trial, got, want, sample)
			}
		}
	}
	if short < 500 {
		t.Errorf("the short way was taken %d times only", short)
	}
}
