package analysis

import (
	"math"

	"cloche/internal/method"
)

// moves says what the most influential assessor moves: the difference that the finding
// states or, where that is a median, that of the means, for which one look at each is enough.
func (f *Finding) moves() string {
	switch f.Measure {
	case method.HodgesLehmann, method.HodgesLehmannShift, method.HodgesLehmannWithin, method.MedianDifference:
		return "who moves the difference of the means most"
	}
	return "who moves the difference most"
}

// mostInfluential is who moves the difference of means most when left out: of several the
// first.
func (f *Finding) mostInfluential() string {
	who, most := "", -1.0
	look := func(assessor string, by float64) {
		if by = math.Abs(by); by > most*(1+1e-12) {
			who, most = assessor, by
		}
	}
	mean := f.Pair.Means[0] - f.Pair.Means[1]
	for _, v := range f.Pair.Each {
		look(v.Assessor, (v.First-v.Second-mean)/float64(max(1, f.N-1)))
	}
	within := f.withinMeans()
	whole := within.difference()
	for k, group := range f.Groups.Each {
		for _, v := range group {
			look(v.Assessor, within.without(f.stratumOf(v), k, v.Value)-whole)
		}
	}
	return who
}

// stratumOf is the stratum within which a rating is compared; "" for all together.
func (f *Finding) stratumOf(v InGroup) string {
	if f.Groups.Strata < 2 {
		return ""
	}
	return v.Stratum
}

// withinMeans are the ratings of two groups in each stratum, summed up.
type withinMeans struct {
	of                 map[string]*stratumSums
	weighted, together float64 // Σ weight · difference, Σ weight: see [ttest.Stratified]
}

// stratumSums are how many of each group rated, and their sum.
type stratumSums struct{ n, sum [2]float64 }

func (f *Finding) withinMeans() withinMeans {
	w := withinMeans{of: map[string]*stratumSums{}}
	var inOrder []*stratumSums
	for k, group := range f.Groups.Each {
		for _, v := range group {
			h := w.of[f.stratumOf(v)]
			if h == nil {
				h = &stratumSums{}
				w.of[f.stratumOf(v)] = h
				inOrder = append(inOrder, h)
			}
			h.n[k]++
			h.sum[k] += v.Value
		}
	}
	for _, h := range inOrder {
		d, weight := h.difference()
		w.weighted, w.together = w.weighted+weight*d, w.together+weight
	}
	return w
}

// difference is that of the means in a stratum, with its weight; 0 and 0 where one group
// has nobody.
func (h stratumSums) difference() (difference, weight float64) {
	n := h.n
	if n[0] == 0 || n[1] == 0 {
		return 0, 0
	}
	return h.sum[0]/n[0] - h.sum[1]/n[1], n[0] * n[1] / (n[0] + n[1])
}

func (w withinMeans) difference() float64 { return w.weighted / w.together }

// without is the difference without one rating.
func (w withinMeans) without(stratum string, group int, value float64) float64 {
	h := *w.of[stratum]
	d, weight := h.difference()
	h.n[group]--
	h.sum[group] -= value
	left, lighter := h.difference()
	return (w.weighted - weight*d + lighter*left) / (w.together - weight + lighter)
}
