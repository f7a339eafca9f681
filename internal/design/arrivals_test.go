package design

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/study"
)

// drawArrivalStudy draws a study that is dealt on arrival, and who arrives.
func drawArrivalStudy(t *rapid.T) (s *study.Study, cells []int32) {
	s = heard(rapid.IntRange(2, 5).Draw(t, "samples"))
	s.Serving.Design = study.One
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	if rapid.Bool().Draw(t, "two strata") {
		room := study.Stratum{ID: "room", Levels: []string{"hall", "bar", "terrace"}}
		s.Serving.Strata = append(s.Serving.Strata, room)
	}
	s.Serving.Minimise = rapid.Bool().Draw(t, "minimise")
	if !s.Serving.Minimise && rapid.Bool().Draw(t, "fixed blocks") {
		s.Serving.Blocks = study.FixedBlocks
	}
	s.Serving.Replicates = rapid.IntRange(1, 2).Draw(t, "replicates")
	s.Panel.Assessors = rapid.IntRange(12, 80).Draw(t, "assessors")
	cells = rapid.SliceOfN(rapid.Int32Range(0, int32(s.Serving.Combinations()-1)), 1, s.Panel.Assessors).Draw(t,
		"strata of arrivals")
	return s, cells
}

// levelsOf is the combination as [Options.Levels] has it.
func levelsOf(s *study.Study, cell int32) []int {
	levels := make([]int, len(s.Serving.Strata))
	c := int(cell)
	for f := len(levels) - 1; f >= 0; f-- {
		n := len(s.Serving.Strata[f].Levels)
		levels[f], c = c%n, c/n
	}
	return levels
}

func dealAll(t *rapid.T, s *study.Study, seed uint64, cells []int32) []study.SampleID {
	a, err := NewArrivals(s, seed, EngineVersion)
	if err != nil {
		t.Fatal(err)
	}
	var dealt []study.SampleID
	for _, cell := range cells {
		got, err := a.Next(cell)
		if err != nil {
			t.Fatal(err)
		}
		dealt = append(dealt, got)
	}
	return dealt
}

// What is dealt to one after another is the plan that is drawn for a panel known
// beforehand, so that either road checks the other.
func TestArrivalsAreDealtWhatThePlanDrawsForThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, cells := drawArrivalStudy(t)
		seed := rapid.Uint64().Draw(t, "seed")
		dealt := dealAll(t, s, seed, cells)
		var levels [][]int
		for _, cell := range cells {
			levels = append(levels, levelsOf(s, cell))
		}
		p, err := Draw(s, Options{Seed: seed, Assessors: len(cells), Levels: levels})
		if err != nil {
			t.Fatal(err)
		}
		for i := range cells {
			for _, v := range p.Assessor(i) {
				if v.Role == Rated && p.Samples[v.Sample] != dealt[i] {
					t.Fatalf("arrival %d was dealt %s, the plan draws %s", i+1, dealt[i], p.Samples[v.Sample])
				}
			}
		}
	})
}

// Permuted blocks: within a stratum, whoever else arrives in between, any two samples
// were dealt equally often, give or take the size of a block.
func TestArrivalsStayEvenWithinStrata(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, cells := drawArrivalStudy(t)
		s.Serving.Minimise = false
		most := 1
		if s.Serving.RandomBlocks() {
			most = largestBlock
		}
		counts := map[int32]map[study.SampleID]int{}
		for i, sample := range dealAll(t, s, rapid.Uint64().Draw(t, "seed"), cells) {
			of := counts[cells[i]]
			if of == nil {
				of = map[study.SampleID]int{}
				counts[cells[i]] = of
			}
			of[sample]++
			lo, hi := i+1, 0
			for _, x := range s.Samples {
				lo, hi = min(lo, of[x.ID]), max(hi, of[x.ID])
			}
			if hi-lo > most {
				t.Fatalf("after %d arrivals stratum %d has %v, more than %d apart", i+1, cells[i], of, most)
			}
		}
	})
}

// Minimisation: over many panels the mean range within a level stays far below that of
// coins, and no newcomer but one in five (Pocock & Simon's 1 − p) widens what could be
// narrowed.
func TestMinimisedArrivalsStayEvenWithinLevels(t *testing.T) {
	s := heard(2)
	s.Serving.Design, s.Serving.Minimise = study.One, true
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}},
		{ID: "room", Levels: []string{"hall", "bar", "terrace"}}}
	const panels, n = 200, 60
	apart, worse, choices := 0, 0, 0
	for seed := range uint64(panels) {
		a, err := NewArrivals(s, seed, EngineVersion)
		if err != nil {
			t.Fatal(err)
		}
		r := newStream(seed, "who arrives")
		counts := map[string][2]int{}
		for range n {
			cell := int32(r.below(6))
			sample, err := a.Next(cell)
			if err != nil {
				t.Fatal(err)
			}
			lead := 0
			for _, level := range StratumLevels(s, cell) {
				lead += ahead(counts[level])
			}
			i := 0
			if sample == s.Samples[1].ID {
				i = 1
			}
			if lead != 0 {
				choices++
				if (lead > 0) == (i == 0) {
					worse++
				}
			}
			for _, level := range StratumLevels(s, cell) {
				c := counts[level]
				c[i]++
				counts[level] = c
			}
		}
		for _, c := range counts {
			apart += max(c[0]-c[1], c[1]-c[0])
		}
	}
	// A level of a fair coin's 20 or 30 people is about 0.8·√n = 3.6 to 4.4 apart.
	if mean := float64(apart) / (panels * 5); mean > 2 {
		t.Errorf("levels are %.2f apart in the mean, want at most 2", mean)
	}
	if share := float64(worse) / float64(choices); share < 0.17 || share > 0.23 {
		t.Errorf("%.3f of the deals widen the imbalance, want about 0.2", share)
	}
}

// ahead is how far the first sample's range would be wider than the second's.
func ahead(c [2]int) int {
	first, second := c[0]+1-c[1], c[0]-c[1]-1
	return max(first, -first) - max(second, -second)
}

// A plan that is dealt on arrival has the places, turns and codes of one that is not,
// and no sample; filled with what was dealt it holds what each arrival got.
func TestDealFillsThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, cells := drawArrivalStudy(t)
		s.Serving.Expectation = rapid.Bool().Draw(t, "expectation")
		seed := rapid.Uint64().Draw(t, "seed")
		open, err := Draw(s, Options{Seed: seed, OnArrival: true})
		if err != nil {
			t.Fatal(err)
		}
		drawn, err := Draw(s, Options{Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range open.Servings {
			w := drawn.Servings[i]
			if w.Sample = v.Sample; v != w || v.Sample != Undealt {
				t.Fatalf("serving %d is %v open and %v drawn", i, v, drawn.Servings[i])
			}
		}
		places := rapid.Permutation(seq(s.Panel.Assessors)).Draw(t, "places")
		var all []Arrival
		for i, sample := range dealAll(t, s, seed, cells) {
			all = append(all, Arrival{Place: places[i], Stratum: cells[i], Sample: sample})
		}
		p, err := open.Deal(s, all)
		if err != nil {
			t.Fatal(err)
		}
		got := map[int]bool{}
		for _, x := range all {
			got[x.Place] = true
			for _, v := range p.Assessor(x.Place) {
				if p.Samples[v.Sample] != x.Sample {
					t.Fatalf("place %d has %s, was dealt %s", x.Place, p.Samples[v.Sample], x.Sample)
				}
			}
		}
		for _, v := range p.Servings {
			if !got[int(v.Assessor)] && v.Sample != Undealt {
				t.Fatalf("place %d has a sample and nobody arrived", v.Assessor)
			}
		}
		b, err := p.InOrderOfArrival(all).CountBalance(s)
		if err != nil {
			t.Fatal(err)
		}
		served := 0
		for _, n := range b.Served {
			served += n
		}
		if b.Assessors != len(all) || len(b.Prefix.Served) != len(all) || served != len(all)*s.Serving.Replicates {
			t.Fatalf("%d arrived, the balance counts %d with %d servings", len(all), b.Assessors, served)
		}
		whole, err := p.CountBalance(s)
		if err != nil || whole.Assessors != s.Panel.Assessors {
			t.Fatal("the plan with its empty places: ", err)
		}
	})
}

func seq(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

func TestDealSeesWhatTheSeedDidNotDeal(t *testing.T) {
	s := heard(2)
	s.Panel.Assessors = 12
	s.Serving.Design = study.One
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	open, err := Draw(s, Options{Seed: 5, OnArrival: true})
	if err != nil {
		t.Fatal(err)
	}
	a, _ := NewArrivals(s, 5, EngineVersion)
	right, _ := a.Next(1)
	wrong := s.Samples[0].ID
	if wrong == right {
		wrong = s.Samples[1].ID
	}
	for _, tc := range []struct {
		name string
		all  []Arrival
		want error
	}{
		{"as dealt", []Arrival{{3, 1, right}}, nil},
		{"another sample", []Arrival{{3, 1, wrong}}, ErrDealtOtherwise},
		{"no such place", []Arrival{{12, 1, right}}, ErrDealtOtherwise},
		{"no such stratum", []Arrival{{3, 2, right}}, ErrConflict},
	} {
		if _, err := open.Deal(s, tc.all); !errors.Is(err, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, err, tc.want)
		}
	}
}

func TestWhatCannotBeDealtOnArrival(t *testing.T) {
	ready := func() *study.Study {
		s := heard(2)
		s.Panel.Assessors = 6
		s.Serving.Design = study.One
		s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
		return s
	}
	for _, tc := range []struct {
		name   string
		change func(*study.Study)
	}{
		{"no strata", func(s *study.Study) { s.Serving.Strata = nil }},
		{"all samples to each", func(s *study.Study) { s.Serving.Design = study.All }},
		{"codes by sample", func(s *study.Study) { s.Serving.Codes = study.CodePerSample }},
		{"a blind sample has no name to expect", func(s *study.Study) {
			s.Serving.Expectation, s.Samples[0].Name = true, ""
		}},
	} {
		s := ready()
		if _, err := Draw(s, Options{OnArrival: true}); err != nil {
			t.Fatal(err)
		}
		tc.change(s)
		if _, err := Draw(s, Options{OnArrival: true}); !errors.Is(err, ErrConflict) {
			t.Errorf("%s: %v, want a conflict", tc.name, err)
		}
	}
}

// heard is a study of names, with a code for every serving.
func heard(names int) *study.Study {
	s := naming(1, names, false, 12)
	s.Serving.Codes = study.CodePerServing
	return s
}
