package analysis

import (
	"slices"

	"cloche/internal/study"
)

// arrival says when what an assessor rated of the primary comparison was all in; 0 = not known.
type arrival struct{ look, sitting, answer int }

// arrivals are those of all assessors who rated.
type arrivals map[string]arrival

// arrivalsOf reads when each assessor's ratings were in; nil where the plan does
// not look early.
func arrivalsOf(s *study.Study, ratings []Rating) arrivals {
	if !s.Plan.LooksEarly() {
		return nil
	}
	in, two := arrivals{}, compared(s)
	for _, r := range ratings {
		if r.Attribute != s.Plan.Attribute || !slices.Contains(two[:], r.Sample) {
			continue
		}
		a, seen := in[r.Assessor]
		if !seen {
			in[r.Assessor] = arrival{r.Look, r.Sitting, r.Arrived}
			continue
		}
		in[r.Assessor] = arrival{latest(a.look, r.Look), latest(a.sitting, r.Sitting), latest(a.answer, r.Arrived)}
	}
	return in
}

// latest is the larger of two; not known where either is not.
func latest(a, b int) int {
	if a == 0 || b == 0 {
		return 0
	}
	return max(a, b)
}

// batches are the pairs that each look added. Which look people came before is taken from the
// ratings where they say so; else a look was at the end of the sitting by which as many as
// planned had rated; else, of one sitting or none known, as soon as they had.
func (in arrivals) batches(p study.AnalysisPlan, pairs []Pair) ([][]Pair, []Warning) {
	known := func(of func(arrival) int) bool {
		return !slices.ContainsFunc(pairs, func(x Pair) bool { return of(in[x.Assessor]) == 0 })
	}
	look := func(a arrival) int { return a.look }
	sitting := func(a arrival) int { return a.sitting }
	answer := func(a arrival) int { return a.answer }
	sorted := func(of func(arrival) int) []Pair {
		all := slices.Clone(pairs)
		slices.SortStableFunc(all, func(a, b Pair) int { return of(in[a.Assessor]) - of(in[b.Assessor]) })
		return all
	}
	switch {
	case known(look):
		all := sorted(look)
		return cut(all, func(i int) bool { return look(in[all[i].Assessor]) > look(in[all[i-1].Assessor]) }), nil
	case known(sitting) && !in.oneSitting(pairs):
		all, taken := sorted(sitting), 0
		return cut(all, func(i int) bool {
			due := sitting(in[all[i].Assessor]) > sitting(in[all[i-1].Assessor]) && lookBetween(p, taken, i)
			if due {
				taken = i
			}
			return due
		}), nil
	case known(answer):
		return cut(sorted(answer), func(i int) bool { return slices.Contains(p.Looks, i) }), nil
	}
	return cut(pairs, func(i int) bool { return slices.Contains(p.Looks, i) }), []Warning{{WarnArrivalUnknown,
		"it is not known in which order people came: looks are taken in the order of the assessors’ numbers, which " +
			"decides by chance when to stop"}}
}

func (in arrivals) oneSitting(pairs []Pair) bool {
	return !slices.ContainsFunc(pairs, func(x Pair) bool {
		return in[x.Assessor].sitting != in[pairs[0].Assessor].sitting
	})
}

// cut parts a list before each place at which a new part begins.
func cut(all []Pair, begins func(i int) bool) (parts [][]Pair) {
	from := 0
	for i := 1; i < len(all); i++ {
		if begins(i) {
			parts, from = append(parts, all[from:i]), i
		}
	}
	return append(parts, all[from:])
}

// lookBetween reports whether the plan has a look after so many people and by so many.
func lookBetween(p study.AnalysisPlan, after, by int) bool {
	return slices.ContainsFunc(p.Looks, func(n int) bool { return n > after && n <= by })
}

// Looks is what the looks taken so far show, of a study that goes on: each rating says before
// which look it was in ([Rating.Look]); those after the last one are not to be among them.
func Looks(s *study.Study, ratings []Rating, screened []Screened) (*LooksPart, error) {
	f, in, err := ratedBoth(s, ratings, screened)
	if err != nil || len(f.Pair.Each) == 0 {
		return nil, err
	}
	err = f.takeLooks(s, in, true)
	return f.Looks, err
}

// RatedBoth counts those who rated both samples of the primary comparison.
func RatedBoth(s *study.Study, ratings []Rating, screened []Screened) (int, error) {
	f, _, err := ratedBoth(s, ratings, screened)
	return len(f.Pair.Each), err
}

func ratedBoth(s *study.Study, ratings []Rating, screened []Screened) (Finding, arrivals, error) {
	var main []Rating // nothing else is looked at while people taste
	for _, r := range ratings {
		if r.Attribute == s.Plan.Attribute && (r.Sample == s.Plan.Compare[0] || r.Sample == s.Plan.Compare[1]) {
			main = append(main, r)
		}
	}
	main, _ = screen(ScreenedOut(s, screened), main, nil)
	averaged, rest := withoutAboutRight(s, main)
	table, err := tabulate(averaged, rest)
	if err != nil {
		return Finding{}, nil, err
	}
	c := comparisons(s)[0]
	f := emptyFinding(c, s.Plan.Level())
	f.Pair.Each, _ = table.pairs(c, s.Serving.Design, newLeftOut(nil))
	return f, arrivalsOf(s, rest), nil
}
