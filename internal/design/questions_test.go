package design

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

func mustDraw(t interface {
	Helper()
	Fatal(...any)
}, s *study.Study, o Options) *Plan {
	t.Helper()
	p, err := Draw(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// difference is a difference test of two samples.
func difference(q study.Question, n, replicates int) *study.Study {
	s := tasting(2, n)
	s.Question = q
	s.Serving.Replicates = replicates
	return s
}

// turnTexts spells the turns of an assessor, such as "AAB": reference first.
func turnTexts(p *Plan, i int) []string {
	var texts []string
	for turn := range p.Turns(i) {
		texts = append(texts, lettersOfTurn(turn))
	}
	return texts
}

func TestDifferenceTestsUseEveryOrderEquallyOften(t *testing.T) {
	tests := []struct {
		name      string
		question  study.Question
		reference study.Reference
		orders    string
		source    string
	}{
		{"triangle", study.Triangle, "", "AAB ABA ABB BAA BAB BBA", "ISO 4120:2021: the six orders equally often"},
		{"duo-trio, balanced", study.DuoTrio, study.BalancedReference, "AAB ABA BAB BBA",
			"ISO 10399: four orders equally often, reference first"},
		{"duo-trio, constant", study.DuoTrio, study.ConstantReference, "AAB ABA",
			"ISO 10399: two orders equally often, reference first"},
		{"2-AFC", study.TwoAFC, "", "AB BA", "ISO 5495: AB and BA equally often"},
		{"preference", study.Preference, "", "AB BA", "ISO 5495: AB and BA equally often"},
		{"3-AFC", study.ThreeAFC, "", "ABB BAB BBA", "three places of the stronger sample; common practice"},
		{"tetrad", study.Tetrad, "", "AABB ABAB ABBA BAAB BABA BBAA", "all 4!/(2!2!) = 6 orders; common practice"},
		{"same–different", study.SameDifferent, "", "AA AB BA BB",
			"ASTM E2139: matched and unmatched pairs equally often"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			orders := strings.Fields(tc.orders)
			rapid.Check(t, func(t *rapid.T) {
				n := rapid.IntRange(1, 60).Draw(t, "assessors")
				r := rapid.IntRange(1, 5).Draw(t, "replicates")
				s := difference(tc.question, n, r)
				s.Serving.Reference = tc.reference
				p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
				used := map[string]int{}
				for _, o := range orders {
					used[o] = 0
				}
				for i := range n {
					texts := turnTexts(p, i)
					if len(texts) != r {
						t.Fatalf("assessor %d has %d turns, want %d", i, len(texts), r)
					}
					for _, o := range texts {
						if _, ok := used[o]; !ok {
							t.Fatalf("order %s is not one of %s (%s)", o, tc.orders, tc.source)
						}
						used[o]++
					}
					checkEqualUse(t, used, i)
				}
			})
		})
	}
}

func checkEqualUse(t *rapid.T, used map[string]int, i int) {
	t.Helper()
	lo, hi := -1, 0
	for _, n := range used {
		if lo < 0 || n < lo {
			lo = n
		}
		hi = max(hi, n)
	}
	if hi-lo > 1 {
		t.Fatalf("after %d assessors the orders were used %v", i+1, used)
	}
}

func TestSeriesOfANotA(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 80).Draw(t, "assessors")
		r := rapid.IntRange(1, maxSeries).Draw(t, "replicates")
		p := mustDraw(t, difference(study.ANotA, n, r), Options{Seed: rapid.Uint64().Draw(t, "seed")})
		used := map[string]int{}
		for mask := range 1 << r {
			if text, ok := seriesText(mask, r); ok {
				used[text] = 0
			}
		}
		a, b := 0, 0
		for i := range n {
			text := strings.Join(turnTexts(p, i), "")
			if _, ok := used[text]; !ok {
				t.Fatalf("assessor %d gets %s: not as many A as not-A", i, text)
			}
			used[text]++
			a, b = a+strings.Count(text, "A"), b+strings.Count(text, "B")
			if a-b > 1 || b-a > 1 {
				t.Fatalf("after %d assessors A was served %d times, not-A %d", i+1, a, b)
			}
			checkEqualUse(t, used, i)
		}
	})
}

// seriesText spells a series; ok when A and not-A differ by at most one.
func seriesText(mask, r int) (string, bool) {
	text := ""
	for j := range r {
		text += string(rune('A' + mask>>j&1))
	}
	d := strings.Count(text, "A") - strings.Count(text, "B")
	return text, d >= -1 && d <= 1
}

func TestReferenceOfDuoTrioIsServedFirst(t *testing.T) {
	s := difference(study.DuoTrio, 12, 2)
	p := mustDraw(t, s, Options{Seed: 3})
	for i := range 12 {
		for j, v := range p.Assessor(i) {
			if lead := j%3 == 0; lead != (v.Role == Reference) || lead != (v.Position == 0) || int(v.Turn) != j/3+1 {
				t.Fatalf("assessor %d, serving %d: %+v", i, j, v)
			}
		}
	}
}

func TestOneGivesEachStratumEverySampleEquallyOften(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 6).Draw(t, "samples")
		n := rapid.IntRange(1, 200).Draw(t, "assessors")
		s := tasting(k, n)
		s.Serving.Design = study.One
		s.Serving.Replicates = rapid.IntRange(1, 2).Draw(t, "replicates")
		s.Serving.Strata = drawStrata(t)
		o := Options{Seed: rapid.Uint64().Draw(t, "seed"), Levels: drawLevels(t, s, n)}
		p := mustDraw(t, s, o)
		counts := map[int32][]int{}
		for i := range n {
			cell := int32(0)
			if p.Stratum != nil {
				cell = p.Stratum[i]
			}
			if counts[cell] == nil {
				counts[cell] = make([]int, k)
			}
			servings := p.Assessor(i)
			for _, v := range servings {
				if v.Sample != servings[0].Sample {
					t.Fatalf("assessor %d gets two samples: %v", i, servings)
				}
			}
			if len(servings) != s.Serving.Replicates {
				t.Fatalf("assessor %d has %d servings", i, len(servings))
			}
			counts[cell][servings[0].Sample]++
			if d := spreadOf(counts[cell]); d.Max-d.Min > largestBlock {
				t.Fatalf("after %d assessors stratum %d has %v", i+1, cell, counts[cell])
			}
		}
	})
}

func drawStrata(t *rapid.T) []study.Stratum {
	var strata []study.Stratum
	for f := range rapid.IntRange(0, 2).Draw(t, "strata") {
		x := study.Stratum{ID: fmt.Sprintf("f%d", f)}
		for l := range rapid.IntRange(2, 3).Draw(t, "levels") {
			x.Levels = append(x.Levels, fmt.Sprintf("l%d", l))
		}
		strata = append(strata, x)
	}
	return strata
}

// drawLevels makes up a known panel, or nil for an unknown one.
func drawLevels(t *rapid.T, s *study.Study, n int) [][]int {
	if len(s.Serving.Strata) == 0 || !rapid.Bool().Draw(t, "known panel") {
		return nil
	}
	levels := make([][]int, n)
	for i := range levels {
		for _, f := range s.Serving.Strata {
			levels[i] = append(levels[i], rapid.IntRange(0, len(f.Levels)-1).Draw(t, "level"))
		}
	}
	return levels
}

func TestMinimisationKeepsMarginsEven(t *testing.T) {
	s := tasting(2, 200)
	s.Serving.Design, s.Serving.Minimise = study.One, true
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}},
		{ID: "table", Levels: []string{"1", "2", "3", "4", "5"}}}
	levels := make([][]int, 200)
	r := newStream(5, "levels")
	for i := range levels {
		levels[i] = []int{r.below(2), r.below(5)}
	}
	worst := 0
	for seed := range uint64(50) {
		p := mustDraw(t, s, Options{Seed: seed, Levels: levels})
		counts := map[string][]int{}
		for i := range 200 {
			for f, l := range levels[i] {
				key := fmt.Sprint(f, l)
				if counts[key] == nil {
					counts[key] = make([]int, 2)
				}
				counts[key][p.Assessor(i)[0].Sample]++
			}
		}
		for _, c := range counts {
			worst = max(worst, max(c[0]-c[1], c[1]-c[0]))
		}
	}
	// Blind chance would leave a level of 100 assessors uneven by 14 or more in
	// half of 50 draws (two standard deviations are 20).
	if worst > 10 {
		t.Errorf("in 50 draws a level was uneven by %d", worst)
	}
}

func TestMinimisationNeedsStrata(t *testing.T) {
	s := tasting(2, 20)
	s.Serving.Design, s.Serving.Minimise = study.One, true
	if _, err := Draw(s, Options{}); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "serving.strata") {
		t.Errorf("got %v", err)
	}
}

func TestSomeServesBalancedBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tt := rapid.IntRange(3, 13).Draw(t, "samples")
		k := rapid.IntRange(2, min(tt-1, 8)).Draw(t, "per assessor")
		b, err := Balanced(tt, k, 200)
		if err != nil {
			t.Skip()
		}
		repeats := rapid.IntRange(1, 2).Draw(t, "repeats")
		passes := rapid.IntRange(1, 3).Draw(t, "replicates")
		n := len(b.Rows) * repeats
		s := tasting(tt, n)
		s.Serving.Design, s.Serving.PerAssessor, s.Serving.Replicates = study.Some, k, passes
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		got := &Blocks{T: tt, K: k}
		at := newTable(tt, k*passes)
		for i := range n {
			var row []int32
			for j, v := range p.Assessor(i) {
				if j < k {
					row = append(row, v.Sample)
				} else if !contains(row, v.Sample) {
					t.Fatalf("assessor %d gets sample %d once only", i, v.Sample)
				}
				if j > 0 && k > 2 && v.Sample == p.Assessor(i)[j-1].Sample {
					t.Fatalf("assessor %d gets sample %d twice in a row", i, v.Sample)
				}
				at[v.Sample][j]++
			}
			if len(p.Assessor(i)) != k*passes {
				t.Fatalf("assessor %d has %d servings", i, len(p.Assessor(i)))
			}
			got.Rows = append(got.Rows, row)
		}
		if !got.IsBalanced() {
			t.Fatalf("replications %v, concurrences %v", got.R(), got.Lambda())
		}
		if d := columnSpread(at); d > repeats {
			t.Fatalf("positions differ by %d", d)
		}
	})
}

func TestReplicatesStandEvenlyAndNeverTwiceInARow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(3, 9).Draw(t, "samples")
		passes := rapid.IntRange(2, 4).Draw(t, "replicates")
		n := rapid.IntRange(1, 50).Draw(t, "assessors")
		s := tasting(k, n)
		s.Serving.Replicates = passes
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		at := newTable(k, k*passes)
		for i := range n {
			count := make([]int, k)
			last := none
			for j, v := range p.Assessor(i) {
				if v.Sample == last {
					t.Fatalf("assessor %d gets sample %d twice in a row", i, last)
				}
				last = v.Sample
				count[v.Sample]++
				at[v.Sample][j]++
				if (j+1)%k == 0 && !spreadOf(count).Equal() {
					t.Fatalf("assessor %d: after %d servings %v", i, j+1, count)
				}
			}
			if d := columnSpread(at); d > 1 {
				t.Fatalf("after %d assessors positions differ by %d", i+1, d)
			}
		}
	})
}
