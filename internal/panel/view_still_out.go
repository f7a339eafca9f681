package panel

import "time"

// SilentAfter is after how long a phone counts as not heard from: longer than a
// guest looks at one serving, as a rule (common practice, no source).
const SilentAfter = 10 * time.Minute

// StillOut is who has not finished, and what may still be on its way when a study
// is closed. Whoever waits for a later sitting is not in it.
type StillOut struct {
	Heard        int // phones that were heard from of late
	Silent       int // phones that were not, for [SilentAfter]: they may keep answers without network
	WithoutPhone int // guests for whom floor enters the answers
}

// Any reports whether somebody has not finished.
func (o StillOut) Any() bool { return o != StillOut{} }

// hear notes that an assessor's phone asked for something.
func (s *Service) hear(a Assessor) {
	now := s.now()
	s.heard.Store(a.ID, now)
	if s.told.due(a.ID, now) {
		s.tellOthers(message{Heard: a.ID, At: now})
	}
}

// forget lets go of when the phones of a closed study were heard from.
func (s *Service) forget(people []Assessor) {
	for _, a := range people {
		s.heard.Delete(a.ID)
	}
}

// silence is for how long an assessor's phone has not asked for anything, as far
// as this service knows since its start.
func (s *Service) silence(a Assessor, now time.Time) time.Duration {
	last := later(s.started, a.JoinedAt)
	if at, ok := s.heard.Load(a.ID); ok {
		last = later(last, at.(time.Time))
	}
	return now.Sub(last)
}

// stillOut counts who has not finished among the assessors of a study.
func (s *Service) stillOut(seats []seatState, now time.Time) (out StillOut) {
	for _, t := range seats {
		switch t.stage(now) {
		case StageScreening, StageInstructions, StageNames, StagePlate, StageServing, StageRinse:
		case StageLast, StageDone, StageClosed, StageLater, StageLeft, StageWithdrawn:
			continue
		}
		switch {
		case !t.assessor.Phone:
			out.WithoutPhone++
		case s.silence(t.assessor, now) >= SilentAfter:
			out.Silent++
		default:
			out.Heard++
		}
	}
	return out
}
