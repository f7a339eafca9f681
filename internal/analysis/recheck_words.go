package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// WidestWord is the word, and of it the pair of samples, on which most people more ticked it
// for the first than for the second: what is told of all words when they are reckoned anew.
// Not ok where there is none.
func (f *Finding) WidestWord() (word WordFinding, pair WordPair, ok bool) {
	most := 0.0
	for _, w := range f.Words.Words {
		for _, p := range w.Pairs {
			if by := math.Abs(p.Difference); by > most+1e-12 {
				word, pair, most, ok = w, p, by, true
			}
		}
	}
	if pair.Difference < 0 {
		pair = pair.Turned()
	}
	return word, pair, ok
}

// Turned is a pair the other way round.
func (p WordPair) Turned() WordPair {
	turned := func(ci stats.Interval) stats.Interval {
		ci.Lo, ci.Hi = -ci.Hi, -ci.Lo
		return ci
	}
	p.First, p.Second, p.OnlyFirst, p.OnlySecond = p.Second, p.First, p.OnlySecond, p.OnlyFirst
	p.Difference, p.CI, p.Adjusted = -p.Difference, turned(p.CI), turned(p.Adjusted)
	p.EquivalenceCI = turned(p.EquivalenceCI)
	return p
}

// widestIn is the difference of [Finding.WidestWord] in another finding on the same words.
func (f *Finding) widestIn(g *Finding) (float64, stats.Interval) {
	word, pair, _ := f.WidestWord()
	for _, w := range g.Words.Words {
		for _, p := range w.Pairs {
			if p.First == pair.Second {
				p = p.Turned()
			}
			if w.ID == word.ID && p.First == pair.First && p.Second == pair.Second {
				return p.Difference, p.CI
			}
		}
	}
	return math.NaN(), stats.NoInterval(g.CI.Level)
}

// mostUnlikeTicks is who ticked most unlike the others which words tell samples apart: how
// many words somebody ticks on the whole is without effect.
func mostUnlikeTicks(s *study.Study, answers []Rating) string {
	t, err := newTickRows(s, answers)
	if err != nil { // the analysis says so
		return ""
	}
	all := map[string][]float64{}
	for i, who := range t.people {
		for w := range t.list.Scale.Ticks {
			row := make([]float64, len(s.Samples))
			for j, list := range t.ticks[i] {
				row[j] = float64(boolToInt(list[w]))
			}
			own := stats.Mean(row)
			for _, v := range row {
				all[who] = append(all[who], v-own)
			}
		}
	}
	return furthest(all)
}

// tickTheSame are those who ticked the same words for every serving and rated it the same,
// where they had enough servings.
func tickTheSame(answers []Rating) map[string]bool {
	type serving struct {
		assessor string
		sample   study.SampleID
	}
	said := map[serving][]string{}
	for _, r := range answers {
		at := serving{r.Assessor, r.Sample}
		said[at] = append(said[at], fmt.Sprintln(r.Attribute, r.Value))
	}
	same := alike[string]{}
	for at, list := range said {
		slices.Sort(list)
		same.add(at.assessor, strings.Join(list, ""))
	}
	return same.throughout()
}
