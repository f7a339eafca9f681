package analysis

import (
	"fmt"

	"cloche/internal/study"
)

const (
	eachPlaceOnce = "write 1 for the serving put first, 2 for the next, and so on, each place once"
	twoAndTwo     = "write 1 for the two servings of one pair, 2 for the two of the other"
)

// offAnswers reports whether an answer to the study's question has no such value.
func (v *vocabulary) offAnswers(id study.AttributeID, value float64) bool {
	answered := v.s.Question.Response()
	return id == answered.Answer() && id != "" && !answered.AnswerHolds(value, v.s.TurnServings())
}

// offAnswers says what is wrong with a value that no answer of the study's question has.
func offAnswers(s *study.Study, text string) (what, instead string) {
	switch s.Question.Response() {
	case study.RankAll:
		return fmt.Sprintf("%s is no place from 1 to %d", text, s.TurnServings()), eachPlaceOnce
	case study.SortIntoPairs:
		return fmt.Sprintf("%s is neither of the two pairs", text), twoAndTwo
	case study.SayOneOfTwo:
		return fmt.Sprintf("%s is neither of the two answers", text), oneIsSaid
	}
	return fmt.Sprintf("%s is neither chosen nor not", text), oneIsChosen
}

// mistakeRanked is [choiceTurn.mistake] where servings are put in an order. With one row
// for each serving and no place twice, there is no gap either.
func (t choiceTurn) mistakeRanked(s *study.Study) (at int, what, instead string) {
	here := t.here()
	n, last := amongWhich(s), len(t.servings)-1
	placed, seen := map[float64]bool{}, map[study.SampleID]bool{}
	for i, r := range t.servings {
		switch {
		case seen[r.Sample]:
			return i, fmt.Sprintf("sample %s stands twice %s", r.Sample, here), "give each turn its own number"
		case placed[r.Value] && last+1 == n:
			return i, fmt.Sprintf("two servings are at place %g %s, so that another place is empty", r.Value, here),
				eachPlaceOnce
		}
		placed[r.Value], seen[r.Sample] = true, true
	}
	if last+1 != n {
		return last, fmt.Sprintf("%d of the %d servings stand %s", last+1, n, here), "write a row for each: " +
			eachPlaceOnce[len("write "):]
	}
	return 0, "", ""
}

// mistakePaired is [choiceTurn.mistake] where servings are sorted into two pairs.
func (t choiceTurn) mistakePaired(s *study.Study) (at int, what, instead string) {
	here := t.here()
	n, last := amongWhich(s), len(t.servings)-1
	in, of := map[float64]int{}, map[study.SampleID]int{}
	for i, r := range t.servings {
		if in[r.Value]++; in[r.Value] > 2 {
			return i, fmt.Sprintf("three servings are in pair %g %s", r.Value, here), twoAndTwo
		}
		if of[r.Sample]++; of[r.Sample] > 2 {
			return i, fmt.Sprintf("sample %s stands three times %s", r.Sample, here),
				"write two servings of each sample, and give each turn its own number"
		}
	}
	if last+1 != n {
		return last, fmt.Sprintf("%d of the %d servings stand %s", last+1, n, here), "write a row for each: " +
			twoAndTwo[len("write "):]
	}
	return 0, "", ""
}
