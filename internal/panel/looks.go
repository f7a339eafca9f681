package panel

import (
	"context"
	"fmt"
	"slices"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
)

// Look is a planned look that was taken at the end of a sitting: what lead and partner may both
// know of it.
type Look struct {
	At     time.Time // zero where none was taken
	People int       // who had rated both samples of the comparison
	Enough bool      // the difference was clear enough to stop
}

// taken reports whether there was one.
func (l Look) taken() bool { return !l.At.IsZero() }

// LookTaken is a look with the sitting at whose end it was taken.
type LookTaken struct {
	Look
	Sitting int
}

// LiveLooks is where the planned looks of an open study stand: counts, and what was decided. It
// has no field for what was rated.
type LiveLooks struct {
	Rated   int // people who rated both samples of the comparison
	Of      int // people the plan takes
	Next    int // people from which on the next look is taken; 0 = there is none before the end
	Tasting int // people whose sitting is not over
	Taken   []LookTaken
	Looked  bool // a look was taken at the sitting that is open: the next one is at the end of the next
}

// Due reports whether the next look can be taken now.
func (l LiveLooks) Due() bool { return l.Next > 0 && l.Rated >= l.Next && l.Tasting == 0 && !l.Looked }

// decision is what the looks taken so far come to.
func (l LiveLooks) decision() Decision {
	if n := len(l.Taken); n > 0 && l.Taken[n-1].Enough {
		return Enough
	}
	return GoOn
}

// TakeLook takes the next look of the plan, at the end of a sitting: it computes what the plan
// says, keeps whether that was clear enough, and tells nothing else. [ErrNoLook] where none is
// due: too few have rated, somebody is still tasting, or it was taken. Lead only.
func (s *Service) TakeLook(ctx context.Context, by Session, studyID StudyID) (Decision, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return "", err
	}
	if err := by.mayNow(ActLook, stored.State); err != nil {
		return "", err
	}
	counted, err := s.evening(ctx, stored)
	if err != nil {
		return "", err
	}
	live, in, err := s.liveLooks(ctx, stored, counted)
	if err != nil {
		return "", err
	}
	if !live.Due() {
		return "", ErrNoLook
	}
	shown, err := analysis.Looks(stored.Spec, in.ratings, in.screened)
	if err != nil || shown == nil {
		return "", fmt.Errorf("take a look: %w", err)
	}
	look := Look{At: s.now(), People: live.Rated, Enough: shown.Stopped > 0}
	at := counted.sittings[len(counted.sittings)-1]
	e := s.event(studyID, by.Who(), "looked", fmt.Sprintf("look %d, after %d people", len(live.Taken)+1, live.Rated))
	if err := s.store.NoteLook(ctx, at.ID, look, e); err != nil {
		return "", fmt.Errorf("take a look: %w", err)
	}
	s.changed(studyID)
	if look.Enough {
		return Enough, nil
	}
	return GoOn, nil
}

// ratedSoFar are ratings with before which look each was in, and what people said before.
type ratedSoFar struct {
	ratings  []analysis.Rating
	screened []analysis.Screened
}

// liveLooks counts where the looks stand, and returns the ratings that are in.
func (s *Service) liveLooks(ctx context.Context, stored Study, counted evening) (LiveLooks, ratedSoFar, error) {
	var in ratedSoFar
	live := LiveLooks{Of: stored.Spec.PlannedPeople(), Taken: looksTaken(counted.sittings),
		Tasting: counted.tally(AllSittings).Tasting}
	answers, err := s.store.KeyedAnswers(ctx, stored.ID)
	if err != nil {
		return live, in, err
	}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return live, in, err
	}
	in = ratedSoFar{ratings(answers), screened(people)}
	markLooks(in.ratings, answers, stored, counted.sittings)
	if live.Rated, err = analysis.RatedBoth(stored.Spec, in.ratings, in.screened); err != nil {
		return live, in, err
	}
	if n := len(counted.sittings); n > 0 {
		live.Looked = counted.sittings[n-1].Look.taken()
	}
	live.Next = nextLook(stored, live)
	return live, in, nil
}

// nextLook is from how many people on the next look is taken; 0 where there is none before the end.
func nextLook(stored Study, live LiveLooks) int {
	last := 0
	if n := len(live.Taken); n > 0 {
		last = live.Taken[n-1].People
	}
	i := slices.IndexFunc(stored.Spec.Plan.Looks, func(n int) bool { return n > last })
	if i < 0 || live.decision() == Enough || live.Rated >= live.Of {
		return 0
	}
	return stored.Spec.Plan.Looks[i]
}

// looksTaken are the looks in the order in which they were taken.
func looksTaken(sittings []Sitting) (taken []LookTaken) {
	for _, x := range sittings {
		if x.Look.taken() {
			taken = append(taken, LookTaken{x.Look, x.Number})
		}
	}
	return taken
}

// markLooks notes of each rating before which look it was in.
func markLooks(rated []analysis.Rating, answers []KeyedAnswer, stored Study, sittings []Sitting) {
	if len(stored.Spec.Plan.Looks) == 0 {
		return
	}
	taken, i := looksTaken(sittings), 0
	for _, r := range answers {
		if r.Role != design.Rated {
			continue
		}
		rated[i].Look = lookOf(r.At, taken)
		i++
	}
}

// lookOf is before which look something came at a moment, from 1.
func lookOf(at time.Time, taken []LookTaken) int {
	look := 1
	for _, l := range taken {
		if at.After(l.At) {
			look++
		}
	}
	return look
}

// LooksSoFar is what the looks taken so far showed: for the partner while the study is open, who
// must not serve at it. Nil where none was taken. [ErrRefused] to whoever may not know it.
func (s *Service) LooksSoFar(ctx context.Context, by Session, studyID StudyID) (*analysis.LooksPart, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return nil, err
	}
	if May(by.Role, KnowLooks, stored.State) != Whole {
		return nil, ErrRefused
	}
	counted, err := s.evening(ctx, stored)
	if err != nil {
		return nil, err
	}
	live, in, err := s.liveLooks(ctx, stored, counted)
	if err != nil || len(live.Taken) == 0 {
		return nil, err
	}
	seen := slices.DeleteFunc(in.ratings, func(r analysis.Rating) bool { return r.Look > len(live.Taken) })
	return analysis.Looks(stored.Spec, seen, in.screened)
}
