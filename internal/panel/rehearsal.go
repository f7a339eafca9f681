package panel

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// rehearsalSeed draws the plans of rehearsals and dry runs: never the plan of a
// study, whose key nobody may know before the study is closed.
const rehearsalSeed = 20_260_713

// rehearsalPlaces are enough to see all orders; a plan of them is drawn at once.
const rehearsalPlaces = 200

// RehearsalPlan draws a serving plan for trying a study out, for so many assessors. It has nothing to do
// with the plan that is fixed: its seed is never the study's. A [NotYetError] or a
// [design.Conflict] says why there is none.
func RehearsalPlan(a *study.Study, assessors int) (*design.Plan, error) {
	if err := canRun(a); err != nil {
		return nil, err
	}
	seed := uint64(rehearsalSeed)
	if a.Serving.HasSeed && a.Serving.Seed == seed {
		seed++
	}
	return design.Draw(a, design.Options{Seed: seed, Assessors: assessors})
}

// What assessors do not see, and what the analysis does not feel: sections of a
// study file whose mistakes leave a rehearsal, or a dry run, as it is.
var (
	unseen = []string{"title", "hypothesis", "invented", "analysis"}
	unfelt = []string{"title", "hypothesis", "invented", "texts", "languages", "translations"}
)

// HinderRehearsal are the mistakes of a draft without which it could be rehearsed.
func (s Study) HinderRehearsal() []study.Problem { return s.mistakesBeyond(unseen) }

// HinderDryRun are the mistakes of a draft without which it could be tried.
func (s Study) HinderDryRun() []study.Problem { return s.mistakesBeyond(unfelt) }

func (s Study) mistakesBeyond(sections []string) []study.Problem {
	return slices.DeleteFunc(slices.Clone(s.Problems), func(p study.Problem) bool {
		section, _, _ := strings.Cut(p.Path, ".")
		section, _, _ = strings.Cut(section, "[")
		return slices.Contains(sections, section)
	})
}

// Rehearsal is a tasting gone through with an invented assessor, screen by screen.
// Each screen is what a phone would be given; nothing is stored. Answers cannot be
// changed later, for none are kept.
type Rehearsal struct {
	Places  int // of the plan
	Welcome Welcome
	Ballots []Ballot // after consent; the last is what stands there after the close, if anything
	Half    bool     // names are read by a random half of the panel
	Reads   bool     // this assessor reads names
	moments []moment // of each of Ballots
}

// moment is a seat at a time.
type moment struct {
	seatState
	at time.Time
}

// Rehearse goes through a study in one of its languages at a place of the plan,
// from 0, as if it began at a moment and closed with the last answer. [ErrNotFound]
// when the study has no such language or place; see [RehearsalPlan] for the other errors.
func Rehearse(a *study.Study, lang string, place int, begun time.Time) (Rehearsal, error) {
	plan, err := RehearsalPlan(a, min(a.Panel.Assessors, rehearsalPlaces))
	if err != nil {
		return Rehearsal{}, err
	}
	inLang := a.In(lang)
	if inLang.Languages[0] != lang || place < 0 || place >= plan.Assessors {
		return Rehearsal{}, ErrNotFound
	}
	r := Rehearsal{Places: plan.Assessors, Welcome: newWelcome(inLang, a.Languages)}
	r.Welcome.Stand, r.Half = StandOpen, a.Serving.AskHalf
	turns := turnsAt(a, plan, place)
	if len(turns) == 0 {
		return Rehearsal{}, ErrNotFound
	}
	for i := range turns {
		r.Reads = r.Reads || turns[i].reads()
		turns[i].ID = TurnID(strconv.Itoa(i + 1))
		for k := range turns[i].Servings {
			turns[i].Servings[k].ID = ServingID(fmt.Sprintf("%d/%d", i+1, k+1))
		}
	}
	t := seatState{
		assessor: Assessor{Place: place}, study: Study{State: Open, Spec: inLang}, offered: a.Languages,
		turns: turns, answered: map[TurnID]time.Time{}, opened: map[int]bool{turns[0].Sitting: true},
	}
	r.walk(t, begun)
	return r, nil
}

// walk takes the assessor from the instructions to the end. The clock stands
// still but for the pauses. After the close there is one more screen where it says
// what the one before does not.
func (r *Rehearsal) walk(t seatState, now time.Time) {
	for {
		b := r.see(t, now)
		n := t.next()
		switch b.Stage {
		case StageScreening:
			t.assessor.Screening = make([]ScreenAnswer, len(t.study.Spec.Panel.Screening))
		case StageInstructions:
			t.assessor.StartedAt = now
		case StagePlate:
			t.turns = slices.Clone(t.turns) // what was seen before stays as it was
			t.turns[n].OpenedAt = now
		case StageServing, StageNames:
			t.answered[t.turns[n].ID] = now
		case StageLast:
			t.assessor.SaidLast.At = now
		case StageRinse:
			now = now.Add(b.Rinse)
		case StageLater:
			t.opened[t.turns[n].Sitting] = true
		default:
			t.study.State, t.study.ClosedAt = Closed, now
			if t.study.Spec.Texts.Debrief != "" || t.study.mayWithdraw(now) {
				r.see(t, now)
			}
			return
		}
	}
}

func (r *Rehearsal) see(t seatState, now time.Time) Ballot {
	b := t.ballot(now)
	b.MayCorrect = false
	t.answered, t.opened = maps.Clone(t.answered), maps.Clone(t.opened)
	r.Ballots, r.moments = append(r.Ballots, b), append(r.moments, moment{t, now})
	return b
}

// Answer checks what was given at ballot i, as [Service.Submit] does. ok means that
// a phone would go on; else back is the ballot to show again. [ErrNotFound] when
// the ballot asks for nothing.
func (r Rehearsal) Answer(i int, sub Submission) (back Ballot, ok bool, err error) {
	if i < 0 || i >= len(r.Ballots) {
		return Ballot{}, false, ErrNotFound
	}
	t := r.moments[i]
	at := t.index(r.Ballots[i].Turn.ID)
	if at < 0 {
		return Ballot{}, false, ErrNotFound
	}
	_, _, problems := t.check(at, sub)
	if len(problems) == 0 {
		return Ballot{}, true, nil
	}
	return t.back(at, sub, problems), false, nil
}

// SayLast checks the answers to the last question at ballot i, as [Service.SayLast] does.
func (r Rehearsal) SayLast(i int, given map[string]string, comment string) (back Ballot, ok bool, err error) {
	if i < 0 || i >= len(r.Ballots) || r.Ballots[i].Stage != StageLast {
		return Ballot{}, false, ErrNotFound
	}
	if _, problems := r.moments[i].readLast(given, comment); len(problems) > 0 {
		return r.moments[i].backLast(given, comment, problems), false, nil
	}
	return Ballot{}, true, nil
}

// Opens reports whether codes as somebody typed them open the plate of ballot i, as
// [Service.OpenPlate] does. [ErrNotFound] when it waits for none.
func (r Rehearsal) Opens(i int, typed string) (bool, error) {
	if i < 0 || i >= len(r.Ballots) || r.Ballots[i].Stage != StagePlate {
		return false, ErrNotFound
	}
	t := r.moments[i]
	return t.opensWith(t.turns[t.next()], typed), nil
}

// Screen checks the answers to the screening questions of ballot i, as
// [Service.Screen] does.
func (r Rehearsal) Screen(i int, given map[string]study.Reply) (back Ballot, complete bool, err error) {
	if i < 0 || i >= len(r.Ballots) || r.Ballots[i].Stage != StageScreening {
		return Ballot{}, false, ErrNotFound
	}
	_, back, complete = r.moments[i].screen(given, r.moments[i].at)
	return back, complete, nil
}

// Stop is the ballot after the assessor stopped at ballot i.
func (r Rehearsal) Stop(i int) (Ballot, error) {
	if i < 0 || i >= len(r.Ballots) || !r.Ballots[i].MayStop {
		return Ballot{}, ErrNotFound
	}
	t := r.moments[i]
	t.assessor.LeftAt, t.assessor.LeftSelf = t.at, true
	return t.ballot(t.at), nil
}

// Withdraw is the ballot after the assessor took the answers out at ballot i.
func (r Rehearsal) Withdraw(i int) (Ballot, error) {
	if i < 0 || i >= len(r.Ballots) || !r.Ballots[i].MayWithdraw {
		return Ballot{}, ErrNotFound
	}
	t := r.moments[i]
	t.assessor.WithdrawnAt = t.at
	return t.ballot(t.at), nil
}
