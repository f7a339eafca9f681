package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// ReasonNotAllTicked leaves out who did not tick the words of every sample: whoever counts
// for one sample and not for another would stand for a difference of people.
const ReasonNotAllTicked = "did not tick the words of every sample"

// WordsPart is what only the words that people tick have.
type WordsPart struct {
	List   study.AttributeID
	Words  []WordFinding     // in the order of the list
	None   []int             // people who ticked none of them, by sample
	Draws  int               // shuffles that the test of all words drew
	Map    *WordMap          // nil where samples do not differ beyond chance, and where there is no plane to draw
	Beside study.AttributeID // rated beside the words; "" = nothing
}

// WordFinding is what the answers say of one word.
type WordFinding struct {
	ID     study.AttributeID
	Word   string
	Ticked []int      // people who ticked it, by sample
	Test   Test       // Cochran's Q, adjusted with all words by Holm's method
	Pairs  []WordPair // of all samples, the tests adjusted together by Holm's method
	With   *WordRated // nil where nothing is rated beside, and where too few both ticked it and did not
}

// Tells reports whether somebody ticked the word for one sample and not for another.
func (w WordFinding) Tells() bool { return !math.IsNaN(w.Test.P) }

// WordPair says who ticked a word for one of two samples and not for the other.
type WordPair struct {
	First, Second         study.SampleID
	OnlyFirst, OnlySecond int
	Difference            float64        // of the shares who ticked it, first minus second
	CI                    stats.Interval // of it, on its own
	Adjusted              stats.Interval // with all pairs of all words, by Bonferroni's inequality
	EquivalenceCI         stats.Interval // of two one-sided tests at alpha
	Test                  Test           // exact McNemar test
}

// WordRated is how people rated servings for which they ticked a word, beside those for
// which they did not.
type WordRated struct {
	People          int     // who did both
	Ticked, Without float64 // their mean ratings
	Difference      float64 // within people, scale points
	CI              stats.Interval
	Test            Test // paired t test of people's means, adjusted with all words by Holm's method
}

// findWords finds whether samples differ in the words that people tick for them: of all
// words at once (Meyners, Castura & Carr 2013), of each word (Cochran 1950), and of each
// pair of samples (McNemar 1947, exact).
func findWords(s *study.Study, answers []Rating, _ []Expectation, left *leftOut, r *Result) error {
	t, err := newTickRows(s, answers)
	if err != nil {
		return err
	}
	f := Finding{Kind: KindWords, Role: Primary, N: len(t.people), Attribute: t.list.ID,
		Estimate: Estimate{Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level())}}
	for _, x := range s.Samples {
		f.Comparison = append(f.Comparison, x.ID)
	}
	if len(t.partly) > 0 {
		f.Excluded = []Exclusion{{ReasonNotAllTicked, len(t.partly)}}
		for _, who := range t.partly {
			left.add(ReasonNotAllTicked, who)
		}
		f.warn(Warning{WarnIncomplete, fmt.Sprintf("%d of %d assessors %s and are left out", len(t.partly),
			len(t.partly)+len(t.people), ReasonNotAllTicked)})
	}
	f.Words = WordsPart{List: t.list.ID, Beside: t.beside.ID}
	if err := f.testWords(s, t); err != nil {
		return err
	}
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "ticked the words of every sample"))
	}
	if err := f.findRatedWith(s.Plan, t); err != nil {
		return err
	}
	f.conclude(s.Plan)
	if err := f.mapWords(s.Plan); err != nil {
		return err
	}
	r.Findings = append(r.Findings, f)
	return nil
}

// tickRows are the answers of the people who ticked the words of every sample.
type tickRows struct {
	list   study.Attribute
	beside study.Attribute // no ID where nothing is rated
	people []string        // in natural order
	partly []string        // who did not tick all, and are left out
	ticks  [][][]bool      // by person, sample and word, in the order of the study
	rated  [][]float64     // by person and sample; NaN where there is no rating
}

// tickRow is what one person said of one sample.
type tickRow struct {
	ticked map[study.AttributeID]bool
	rated  float64
}

func newTickRows(s *study.Study, answers []Rating) (*tickRows, error) {
	t := &tickRows{}
	t.list, _ = s.Words()
	if beside := s.RatedBeside(); len(beside) > 0 {
		t.beside = beside[0]
	}
	said := map[string]map[study.SampleID]*tickRow{}
	for _, r := range answers {
		if err := t.take(s, said, r); err != nil {
			return nil, err
		}
	}
	for _, who := range assessorsOf(answers) {
		if err := t.add(s, who, said[who]); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// take notes one answer. Errors: [ErrRating].
func (t *tickRows) take(s *study.Study, said map[string]map[study.SampleID]*tickRow, r Rating) error {
	if _, ok := s.Sample(r.Sample); !ok {
		return fmt.Errorf("%w: there is no sample %q", ErrRating, r.Sample)
	}
	if said[r.Assessor] == nil {
		said[r.Assessor] = map[study.SampleID]*tickRow{}
	}
	row := said[r.Assessor][r.Sample]
	if row == nil {
		row = &tickRow{map[study.AttributeID]bool{}, math.NaN()}
		said[r.Assessor][r.Sample] = row
	}
	twice := fmt.Errorf("%w: assessor %s answers %q of sample %s twice", ErrRating, r.Assessor, r.Attribute, r.Sample)
	switch {
	case t.beside.ID != "" && r.Attribute == t.beside.ID:
		if !t.beside.Scale.Holds(r.Value) {
			return fmt.Errorf("%w: %g is off the scale of %q", ErrRating, r.Value, r.Attribute)
		}
		if !math.IsNaN(row.rated) {
			return twice
		}
		row.rated = r.Value
	case !slices.Contains(t.list.Scale.Ticks, r.Attribute):
		return fmt.Errorf("%w: %q is no word of the list", ErrRating, r.Attribute)
	case r.Value != 0 && r.Value != 1:
		return fmt.Errorf("%w: %g of %q is neither ticked nor not", ErrRating, r.Value, r.Attribute)
	default:
		if _, has := row.ticked[r.Attribute]; has {
			return twice
		}
		row.ticked[r.Attribute] = r.Value == 1
	}
	return nil
}

// add takes a person who ticked the words of every sample. Errors: [ErrRating] where some
// words of a serving have no answer.
func (t *tickRows) add(s *study.Study, who string, said map[study.SampleID]*tickRow) error {
	all := true
	ticks, rated := make([][]bool, len(s.Samples)), make([]float64, len(s.Samples))
	for j, x := range s.Samples {
		row := said[x.ID]
		if row == nil || len(row.ticked) == 0 {
			all = false
			continue
		}
		if len(row.ticked) < len(t.list.Scale.Ticks) {
			return fmt.Errorf("%w: assessor %s answers %d of the %d words of sample "+
				"%s", ErrRating, who, len(row.ticked),
				len(t.list.Scale.Ticks), x.ID)
		}
		rated[j] = row.rated
		for _, id := range t.list.Scale.Ticks {
			ticks[j] = append(ticks[j], row.ticked[id])
		}
	}
	if !all {
		t.partly = append(t.partly, who)
		return nil
	}
	t.people, t.ticks, t.rated = append(t.people, who), append(t.ticks, ticks), append(t.rated, rated)
	return nil
}

// word are the answers to one word, by person and sample.
func (t *tickRows) word(w int) [][]bool {
	rows := make([][]bool, len(t.ticks))
	for i, samples := range t.ticks {
		rows[i] = make([]bool, len(samples))
		for j, list := range samples {
			rows[i][j] = list[w]
		}
	}
	return rows
}

// tickDraws is how many shuffles the test of all words draws: its p then goes in steps of
// 0.0005, and is right to within a tenth of itself near 5 %.
const tickDraws = 1_999

// testWords tests all words together, each word, and each pair of samples.
func (f *Finding) testWords(s *study.Study, t *tickRows) error {
	f.Test = noTest(method.WordsTogether)
	f.Words.None = make([]int, len(s.Samples))
	for i, id := range t.list.Scale.Ticks {
		w := WordFinding{ID: id, Word: t.list.Scale.Labels[i], Ticked: make([]int, len(s.Samples)),
			Test: noTest(method.CochranQ)}
		f.Words.Words = append(f.Words.Words, w)
	}
	if len(t.people) == 0 {
		return nil
	}
	all, err := choice.Ticks(t.inFixedOrder(s), tickDraws)
	if err != nil {
		return err
	}
	f.Words.Draws, f.Test.Statistic, f.Test.P = all.Draws, all.Sum, all.P
	for _, samples := range t.ticks {
		for j, list := range samples {
			if !slices.Contains(list, true) {
				f.Words.None[j]++
			}
		}
	}
	var ps []float64
	for i := range f.Words.Words {
		if err := f.testWord(s.Plan, i, t.word(i)); err != nil {
			return err
		}
		ps = append(ps, f.Words.Words[i].Test.P)
	}
	for i, p := range holmOfTested(ps) {
		f.Words.Words[i].Test.PAdjusted = p
	}
	return nil
}

// inFixedOrder are the answers with the samples in the order of their ids, so that in which
// order a study lists them is without effect on what is drawn.
func (t *tickRows) inFixedOrder(s *study.Study) [][][]bool {
	order := make([]int, len(s.Samples))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(s.Samples[a].ID, s.Samples[b].ID) })
	fixed := make([][][]bool, len(t.ticks))
	for i, samples := range t.ticks {
		for _, j := range order {
			fixed[i] = append(fixed[i], samples[j])
		}
	}
	return fixed
}

// holmOfTested adjusts the p of what could be tested; the others stay NaN.
func holmOfTested(ps []float64) []float64 {
	var tested []float64
	for _, p := range ps {
		if !math.IsNaN(p) {
			tested = append(tested, p)
		}
	}
	adjusted, next := make([]float64, len(ps)), 0
	holm := stats.Holm(tested)
	for i, p := range ps {
		adjusted[i] = math.NaN()
		if !math.IsNaN(p) {
			adjusted[i] = holm[next]
			next++
		}
	}
	return adjusted
}

// testWord tests the word at i, and its pairs of samples.
func (f *Finding) testWord(plan study.AnalysisPlan, i int, rows [][]bool) error {
	q, err := choice.CochranQ(rows)
	if err != nil {
		return err
	}
	w := &f.Words.Words[i]
	w.Ticked = q.Yes
	w.Test.Statistic, w.Test.DF, w.Test.P = q.Q, float64(q.DF), q.P
	if !math.IsNaN(q.ExactP) {
		w.Test.P, w.Test.Title = q.ExactP, method.CochranQ.Title()+", exact"
	}
	all := float64(len(q.Pairs) * len(f.Words.Words))
	for _, pair := range q.Pairs {
		p := WordPair{First: f.Comparison[pair.A], Second: f.Comparison[pair.B], OnlyFirst: pair.OnlyA,
			OnlySecond: pair.OnlyB, Test: noTest(method.McNemar)}
		p.Test.Title += ", exact"
		p.Test.Statistic, p.Test.P, p.Test.PAdjusted = float64(pair.OnlyA), pair.P, pair.PHolm
		table := twoByTwo(rows, pair.A, pair.B)
		levels := []struct {
			at *stats.Interval
			of float64
		}{{&p.CI, plan.Level()}, {&p.Adjusted, 1 - plan.Alpha/all}, {&p.EquivalenceCI, 1 - 2*plan.Alpha}}
		if _, ok := f.samenessLevel(plan, 1); !ok {
			levels = levels[:2]
		}
		for _, level := range levels {
			m, err := choice.McNemar(table, level.of)
			if err != nil {
				return err
			}
			p.Difference, *level.at = m.Difference, m.ScoreCI
		}
		w.Pairs = append(w.Pairs, p)
	}
	return nil
}

// twoByTwo counts the answers to two samples, yes first.
func twoByTwo(rows [][]bool, a, b int) (table [2][2]int) {
	for _, row := range rows {
		table[1-boolToInt(row[a])][1-boolToInt(row[b])]++
	}
	return table
}

// judgeWords gives the verdict on the words, as [Finding.judgeRanking] does on an order: the
// differences of shares of all words and pairs stand for a single effect.
func (f *Finding) judgeWords(plan study.AnalysisPlan) {
	e := evidence{n: f.N, fewest: Fewest(plan.Alpha), found: f.Test.Deciding() < plan.Alpha, inside: true}
	v := Verdict{Margin: f.smallest(plan)}
	for _, w := range f.Words.Words {
		for _, p := range w.Pairs {
			e.beyond = e.beyond || beyond(p.Adjusted, v.Margin)
			e.inside = e.inside && inside(p.EquivalenceCI, v.Margin)
		}
	}
	v.Code = e.code()
	f.Verdict = v
	f.Verdict.Next = f.next(plan)
}

// ticksToFind is [Finding.peopleToFind] of words.
func (f *Finding) ticksToFind(plan study.AnalysisPlan) int {
	return tickDesign(len(f.Comparison), len(f.Words.Words), f.Verdict.Margin, plan.Alpha).beyond(f.N)
}
