package panel

import (
	"cmp"
	"context"
	"slices"
	"time"

	"cloche/internal/analysis"
)

// Decision is whether a plan that stops early, has looks or counts evidence takes more answers: that, and
// nothing of what they say.
type Decision string

// The decisions; "" where the plan does none of that.
const (
	GoOn   Decision = "go on"
	Enough Decision = "enough"
)

// decision is that of an open study.
func (s *Service) decision(ctx context.Context, stored Study) (Decision, error) {
	if stored.State == Open && len(stored.Spec.Plan.Looks) > 0 {
		sittings, err := s.openedSittings(ctx, stored.ID)
		return LiveLooks{Taken: looksTaken(sittings)}.decision(), err
	}
	if stored.State == Open && stored.Spec.Plan.Evidence != "" {
		e, err := s.evidenceNow(ctx, stored)
		if err != nil || e == nil || !e.Stopped {
			return GoOn, err
		}
		return Enough, nil
	}
	if !stored.Spec.Plan.StopEarly || stored.State != Open {
		return "", nil
	}
	answers, err := s.store.KeyedAnswers(ctx, stored.ID)
	if err != nil {
		return "", err
	}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return "", err
	}
	enough, err := analysis.Enough(stored.Spec, ratings(answers), screened(people))
	if err != nil || !enough {
		return GoOn, err
	}
	return Enough, nil
}

// evidenceNow is what evidence has come to; nil where nobody rated both samples. It is counted anew from
// what is kept, so that answers that were taken out do not count and no answer waits for it.
func (s *Service) evidenceNow(ctx context.Context, stored Study) (*analysis.EvidencePart, error) {
	answers, err := s.store.KeyedAnswers(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	return analysis.EvidenceNow(stored.Spec, ratings(answers), screened(people))
}

// EvidenceSoFar is what evidence has come to, in numbers: for the partner while the study is open, who must
// not serve at it. Nil where none is counted. [ErrRefused] to whoever may not know it.
func (s *Service) EvidenceSoFar(ctx context.Context, by Session, studyID StudyID) (*analysis.EvidencePart, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return nil, err
	}
	if May(by.Role, KnowLooks, stored.State) != Whole {
		return nil, ErrRefused
	}
	if stored.Spec.Plan.Evidence == "" {
		return nil, nil // nothing is counted, and that is no error
	}
	return s.evidenceNow(ctx, stored)
}

// turnAt is whose turn it is, and which.
type turnAt struct{ place, turn int }

// answeredAs numbers the turns that were answered from 1, in the order in which their answers
// reached the service.
func answeredAs(all []KeyedAnswer) map[turnAt]int {
	at := map[turnAt]time.Time{}
	var turns []turnAt
	for _, r := range all {
		k := turnAt{r.Place, r.Turn}
		if _, seen := at[k]; !seen {
			turns = append(turns, k)
		}
		at[k] = later(at[k], r.At)
	}
	slices.SortFunc(turns, func(a, b turnAt) int {
		return cmp.Or(at[a].Compare(at[b]), cmp.Compare(a.place, b.place), cmp.Compare(a.turn, b.turn))
	})
	as := make(map[turnAt]int, len(turns))
	for i, k := range turns {
		as[k] = i + 1
	}
	return as
}
