package panel

import (
	"context"
	"errors"
	"slices"
	"time"

	"cloche/internal/analysis"
)

// VerdictLine is what a closed study found, in a line for the list of studies. It is kept,
// so that a list reads no answers, and holds until something new stands in the study's log.
type VerdictLine struct {
	StudyID StudyID
	Said    string // in each language, as whoever says it wrote them down
	People  int    // whom it rests on; 0 = nobody had rated anything
	AsOf    int    // number of the last entry in the study's log when it was found
	Program string // the build that said it
}

// LeaveFindings are the entries in a study's log that change nothing of what was found.
var LeaveFindings = []string{"archived", "downloaded", "exported", "report no longer shared", "report shared",
	"role changed", "taken out of the archive"}

// VerdictLines are those of some studies that this build said and that still hold, by study.
func (s *Service) VerdictLines(ctx context.Context, program string, of []StudyID) (map[StudyID]VerdictLine, error) {
	all, err := s.store.VerdictLines(ctx, program, of)
	kept := make(map[StudyID]VerdictLine, len(all))
	for _, x := range all {
		kept[x.StudyID] = x
	}
	return kept, err
}

// WantVerdictLines has [Service.KeepVerdictLines] look for lines that are missing. It never waits.
func (s *Service) WantVerdictLines() {
	select {
	case s.lines <- struct{}{}:
	default: // it will look anyway
	}
}

// restAfter is how many times as long as the work on one line the rest after it lasts: a
// new build finds all of them anew, perhaps while guests taste.
const restAfter = 3

// KeepVerdictLines finds what closed studies found and keeps what say makes of it, until ctx
// ends: once a study is closed or comes from elsewhere, and anew when answers were taken out
// or this is another build than the one that said it. What was closed last comes first. Of the
// studies closed last it has the findings ready soon after a start, and say with them, which may work
// out what else a report takes long for.
// failed hears of a study whose line could not be kept.
func (s *Service) KeepVerdictLines(ctx context.Context, program string,
	say Sayer, failed func(StudyID, error)) {
	anew := mostKept // a service that has just started holds nothing of what it found
	for {
		missing, err := s.withoutLine(ctx, program, anew)
		anew = 0
		if err != nil && ctx.Err() == nil {
			failed("", err)
		}
		wanted := false
		for i := 0; i < len(missing) && !wanted; i++ {
			begun := time.Now()
			if err := s.keepVerdictLine(ctx, missing[i], program, say); err != nil && ctx.Err() == nil {
				failed(missing[i], err)
			}
			rest := time.NewTimer(restAfter * time.Since(begun))
			select {
			case <-ctx.Done():
				return
			case <-s.lines: // what was closed meanwhile comes first
				wanted = true
			case <-rest.C:
			}
		}
		if wanted {
			continue
		}
		select {
		case <-ctx.Done():
			return
		case <-s.lines:
		}
	}
}

// withoutLine are the closed studies whose line is missing or holds no more, and so many of those that
// were closed last whatever is kept of them; what was closed last first.
func (s *Service) withoutLine(ctx context.Context, program string, anew int) ([]StudyID, error) {
	all, err := s.Studies(ctx) // reads their files too, so that the first look at the list need not
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(x Study) bool { return x.State != Closed })
	of := make([]StudyID, len(all))
	for i, x := range all {
		of[i] = x.ID
	}
	kept, err := s.VerdictLines(ctx, program, of)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b Study) int { return b.ClosedAt.Compare(a.ClosedAt) })
	var missing []StudyID
	for _, x := range all {
		if _, known := kept[x.ID]; !known || anew > 0 {
			missing = append(missing, x.ID)
		}
		anew--
	}
	return missing, nil
}

func (s *Service) keepVerdictLine(ctx context.Context, id StudyID, program string, say Sayer) error {
	line := VerdictLine{StudyID: id, Program: program}
	var err error
	if line.AsOf, err = s.store.LastEntry(ctx, id); err != nil { // first: what comes meanwhile is new
		return err
	}
	stored, found, err := s.Findings(ctx, id)
	switch {
	case err == nil:
		line.Said, line.People = say(stored, found)
	case !errors.Is(err, analysis.ErrNoRatings):
		return err
	}
	return s.store.KeepVerdictLine(ctx, line)
}
