package analysis

import "cloche/internal/study"

// CustardSeed is the seed of the ratings in studies/celeriac-custard-ratings.csv:
// the first from 1 whose interval for saltiness covers the true effect and
// leaves out 0. Over many seeds 95 % of the intervals cover the truth, which a
// test checks.
const CustardSeed = 2

// CustardTruth is what holds in the invented panel of
// studies/celeriac-custard.yaml, where sample A is the custard under the
// dessert's name and B the same custard under the savoury one. Under the
// dessert's name it is rated 6 of 100 points saltier, 3 less sweet, as smooth,
// and 0.4 of 9 points better liked. The direction for saltiness is what common
// practice holds of savoury dishes under sweet names (no source); every size
// here is invented.
func CustardTruth() Truth {
	under := func(a float64) map[study.SampleID]float64 { return map[study.SampleID]float64{"A": a, "B": 0} }
	return Truth{
		"saltiness":  {Mean: 41, Effects: under(6), PerPosition: 1.5, AssessorSD: 12, SampleSD: 5, RatingSD: 7},
		"sweetness":  {Mean: 47, Effects: under(-3), PerPosition: -1, AssessorSD: 13, SampleSD: 5, RatingSD: 7},
		"smoothness": {Mean: 3.1, Effects: under(0), AssessorSD: 0.5, SampleSD: 0.2, RatingSD: 0.3},
		"liking":     {Mean: 6.1, Effects: under(0.4), AssessorSD: 1, SampleSD: 0.5, RatingSD: 0.6},
	}
}

// Evening is one invented evening of that study.
type Evening struct {
	House   string  // "" = the house of the study itself
	Saltier float64 // true mean difference in saltiness there, of 100 points
	Seed    uint64  // of its ratings, and of its plan where it is another house
}

// CustardEvenings are four invented evenings of studies/celeriac-custard.yaml, which the demo has in the record of the
// house: its own, and three whose data packages joined it. Evenings truly differ, and the truth of them all is their
// mean, 6 points. The seeds elsewhere, 3, 4 and 5, are
// those after [CustardSeed].
func CustardEvenings() []Evening {
	return []Evening{{"", 6, CustardSeed}, {"The mill, Sluice Lane", 4.5, 3}, {"The boathouse", 7, 4},
		{"The old dairy", 6.5, 5}}
}

// CustardTruthOf is what holds in the panel of an evening: [CustardTruth], but for how much saltier.
func CustardTruthOf(e Evening) Truth {
	t := CustardTruth()
	salt := t["saltiness"]
	salt.Effects = map[study.SampleID]float64{"A": e.Saltier, "B": 0}
	t["saltiness"] = salt
	return t
}
