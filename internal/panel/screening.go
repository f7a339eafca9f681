package panel

import (
	"context"
	"fmt"
	"time"

	"cloche/internal/study"
)

// ScreenAnswer is what an assessor said to a screening question. It is deleted
// when the assessor withdraws, and stands in no log: it may speak of health.
type ScreenAnswer struct {
	Question string // id
	Answer   study.Reply
}

// ScreenAsk is a screening question as an assessor, or floor, reads it. Field is
// its name on the form ("s1", "s2", …). It has no field for the rule.
type ScreenAsk struct {
	Field, Text string
	Given       study.Reply // when a form comes back
	Problem     Problem     // what is wrong with it; "" = nothing
}

func screenAsks(a *study.Study) []ScreenAsk {
	var asks []ScreenAsk
	for i, x := range a.Panel.Screening {
		asks = append(asks, ScreenAsk{Field: fmt.Sprintf("s%d", i+1), Text: x.Ask})
	}
	return asks
}

// answerScreening reads the answers by field name. The asks come back with what
// was given; complete reports whether every question has its answer.
func answerScreening(a *study.Study, given map[string]study.Reply) (answers []ScreenAnswer, asks []ScreenAsk,
	complete bool) {
	asks, complete = screenAsks(a), true
	for i, x := range a.Panel.Screening {
		ask := &asks[i]
		switch r := given[ask.Field]; r {
		case study.Yes, study.No:
			ask.Given = r
			answers = append(answers, ScreenAnswer{Question: x.ID, Answer: r})
		default:
			ask.Problem, complete = NoChoice, false
		}
	}
	return answers, asks, complete
}

// unscreened reports whether an assessor has still to answer what the study asks
// before the first plate.
func (t seatState) unscreened() bool {
	return len(t.study.Spec.Panel.Screening) > 0 && len(t.assessor.Screening) == 0
}

// Screen takes an assessor's answers to the screening questions, by field name.
// The first answers stand: sent again, or when nothing is asked, nothing changes.
// complete is false when one is missing; then nothing is kept, and the ballot is
// the one to show again.
func (s *Service) Screen(ctx context.Context, token SeatToken, given map[string]study.Reply) (back Ballot,
	complete bool,
	err error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return Ballot{}, false, err
	}
	if t.stage(s.now()) != StageScreening {
		return Ballot{}, true, nil
	}
	answers, back, complete := t.screen(given, s.now())
	if !complete {
		return back, false, nil
	}
	e := s.event(t.study.ID, t.assessor.nameInLog(), "screened", "")
	if err := s.store.NoteAssessor(ctx, t.assessor.ID, AssessorNote{Screening: answers}, e); err != nil {
		return Ballot{}, false, fmt.Errorf("keep the answers before the first plate: %w", err)
	}
	s.changed(t.study.ID)
	return Ballot{}, true, nil
}

// screen reads the answers of a ballot at the stage of screening.
func (t seatState) screen(given map[string]study.Reply, now time.Time) (
	answers []ScreenAnswer, back Ballot, complete bool) {
	answers, asks, complete := answerScreening(t.study.Spec, given)
	back = t.ballot(now)
	back.Screening = asks
	return answers, back, complete
}
