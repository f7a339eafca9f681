package analysis

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"cloche/internal/study"
)

// choiceTurn is what an assessor chose at once among servings, or said of them.
type choiceTurn struct {
	assessor string
	number   int      // from 1
	arrived  int      // as which of all turns, from 1; 0 = not known
	servings []Rating // of [study.Response.Answer], by position
}

// turnKey is whose turn it is, and which.
type turnKey struct {
	assessor string
	number   int
}

// turnOf is the turn that an answer belongs to. Where a file does not say, servings come
// turn by turn, or there is one turn only.
func turnOf(s *study.Study, r Rating) turnKey {
	switch {
	case r.Turn > 0:
		return turnKey{r.Assessor, r.Turn}
	case r.Position > 0:
		return turnKey{r.Assessor, (r.Position-1)/amongWhich(s) + 1}
	}
	return turnKey{r.Assessor, 1}
}

// amongWhich is how many servings of a turn one chooses among: its reference is none of
// them.
func amongWhich(s *study.Study) int {
	if s.Question.Kind().Reference {
		return s.TurnServings() - 1
	}
	return s.TurnServings()
}

// choiceTurns gathers answers by turn, assessors in natural order. Errors: [ErrRating].
func choiceTurns(s *study.Study, answers []Rating) ([]choiceTurn, error) {
	index := map[turnKey]int{}
	var turns []choiceTurn
	answered, servings := s.Question.Response(), s.TurnServings()
	id := answered.Answer()
	for _, r := range answers {
		if r.Attribute != id || !answered.AnswerHolds(r.Value, servings) {
			what, instead := offAnswers(s, fmt.Sprintf("%q of %g", r.Attribute, r.Value))
			return nil, fmt.Errorf("%w: %s; %s as %s", ErrRating, what, instead, id)
		}
		k := turnOf(s, r)
		i, ok := index[k]
		if !ok {
			i, index[k] = len(turns), len(turns)
			turns = append(turns, choiceTurn{k.assessor, k.number, r.Arrived, make([]Rating, 0, servings)})
		}
		turns[i].servings = append(turns[i].servings, r)
	}
	for _, t := range turns {
		slices.SortStableFunc(t.servings, func(a, b Rating) int { return cmp.Compare(a.Position, b.Position) })
		if _, what, _ := t.mistake(s); what != "" {
			return nil, fmt.Errorf("%w: %s", ErrRating, what)
		}
	}
	slices.SortFunc(turns, func(a, b choiceTurn) int {
		return cmp.Or(natural(a.assessor, b.assessor), cmp.Compare(a.number, b.number))
	})
	return turns, nil
}

// chosen is the sample of the serving that was chosen; "" for none.
func (t choiceTurn) chosen() study.SampleID {
	for _, r := range t.servings {
		if r.Value == 1 {
			return r.Sample
		}
	}
	return ""
}

const oneIsChosen = "write 1 for the serving chosen and 0 for the others of its turn"

// here is the place of a turn in words.
func (t choiceTurn) here() string {
	return fmt.Sprintf("in turn %d of assessor %s", t.number, t.assessor)
}

// mistake says what is wrong with the answers of a turn, and in which of them; what is
// "" when nothing is.
func (t choiceTurn) mistake(s *study.Study) (at int, what, instead string) {
	switch s.Question.Response() {
	case study.SayOneOfTwo:
		return t.mistakeSaid(s)
	case study.RankAll:
		return t.mistakeRanked(s)
	case study.SortIntoPairs:
		return t.mistakePaired(s)
	}
	kind, n, chosen := s.Question.Kind(), amongWhich(s), 0
	seen := map[study.SampleID]bool{}
	for i, r := range t.servings {
		if chosen += int(r.Value); chosen > 1 {
			return i, "two servings are chosen " + t.here(), oneIsChosen
		}
		if seen[r.Sample] && kind.Samples == n {
			return i, fmt.Sprintf("sample %s stands twice %s", r.Sample, t.here()), "give each turn its own number"
		}
		seen[r.Sample] = true
		if kind.Reference && (r.Reference == "" || r.Reference != t.servings[0].Reference) {
			return i, "it is not said what the reference was " + t.here(), "write the same dish in each row of the turn"
		}
	}
	last := len(t.servings) - 1
	if kind.Ascending && last+1 == n && t.raised(s) == "" {
		return last, "the servings are not two of the first sample and one of another " + t.here(),
			"write the three servings of one tray under one turn"
	}
	switch {
	case last+1 != n:
		return last, fmt.Sprintf("%d of the %d servings stand %s", last+1, n, t.here()),
			"write a row for each: " + strings.TrimPrefix(oneIsChosen, "write ")
	case chosen == 0 && s.Plan.Undecided == "":
		return last, "no serving is chosen " + t.here(),
			oneIsChosen + "; none may be chosen only where the analysis plan says what becomes of the undecided"
	}
	return 0, "", ""
}

const oneIsSaid = "write 1 in each row of the turn for the first answer, 0 for the second"

// mistakeSaid is [choiceTurn.mistake] where one of two things is said of a turn.
func (t choiceTurn) mistakeSaid(s *study.Study) (at int, what, instead string) {
	for i, r := range t.servings {
		if r.Value != t.servings[0].Value {
			return i, "two things are said " + t.here(), oneIsSaid
		}
	}
	if n, last := amongWhich(s), len(t.servings)-1; last+1 != n {
		return last, fmt.Sprintf("%d of the %d servings stand %s", last+1, n, t.here()), "write a row for each"
	}
	return 0, "", ""
}

// asAnswered is the study with the attributes that its answers are written under.
func asAnswered(s *study.Study) *study.Study {
	id := s.Question.Response().Answer()
	if id == "" && s.Question.Response() != study.TickWords {
		return s
	}
	c := *s
	if id == "" {
		c.Attributes = s.Answered()
		return &c
	}
	c.Attributes = []study.Attribute{{ID: id, Ask: string(id),
		Scale: study.Scale{Kind: study.Line, To: float64(max(2, s.TurnServings()))}}}
	return &c
}

// choiceRows gathers the rows of a file by turn, to be checked once all are read.
type choiceRows struct {
	s    *study.Study
	rows []choiceRow
}

type choiceRow struct {
	Rating
	line, column int // of its value
}

func (c *choiceRows) add(row csvRow, r Rating) {
	if c.s.Question.Response().Answer() != "" {
		line, column := row.from.rows.FieldPos(row.from.column["value"])
		c.rows = append(c.rows, choiceRow{r, line, column})
	}
}

// check reports the first mistake of every turn.
func (c *choiceRows) check(f *csvFile) {
	c.checkArrivals(f)
	index := map[turnKey]int{}
	var turns [][]choiceRow
	for _, r := range c.rows {
		k := turnOf(c.s, r.Rating)
		i, ok := index[k]
		if !ok {
			i, index[k] = len(turns), len(turns)
			turns = append(turns, nil)
		}
		turns[i] = append(turns[i], r)
	}
	ordered := map[string]bool{} // assessors who gave an order
	tasted := map[given]bool{}   // trays of which amount
	for _, rows := range turns {
		k := turnOf(c.s, rows[0].Rating)
		t := choiceTurn{assessor: k.assessor, number: k.number}
		for _, r := range rows {
			t.servings = append(t.servings, r.Rating)
		}
		if i, what, instead := t.mistake(c.s); what != "" {
			f.report(rows[i].line, rows[i].column, what, instead)
		} else if ordered[k.assessor] && c.s.Question.Response() == study.RankAll {
			f.report(rows[0].line, rows[0].column, fmt.Sprintf("assessor %s gives a second order", k.assessor),
				"write one order for each assessor")
		}
		ordered[k.assessor] = true
		if c.s.Question.Kind().Ascending {
			tray := given{place: place{assessor: k.assessor}, sample: t.raised(c.s)}
			if tasted[tray] && tray.sample != "" {
				f.report(rows[0].line, rows[0].column, fmt.Sprintf("assessor %s answers a second tray with sample %s",
					k.assessor, tray.sample), "write one tray for each amount")
			}
			tasted[tray] = true
		}
	}
}
