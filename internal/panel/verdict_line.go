package panel

import (
	"context"
	"errors"

	"cloche/internal/analysis"
)

// VerdictLine is what a closed study found, in a line for the list of studies. It is kept,
// so that a list reads no answers, and holds until something new stands in the study's log.
type VerdictLine struct {
	StudyID StudyID
	Said    string
	People  int    // whom it rests on; 0 = nobody had rated anything
	AsOf    int    // number of the last entry in the study's log when it was found
	Program string // the build that said it
}

// VerdictLines are those that this build said and that still hold, by study.
func (s *Service) VerdictLines(ctx context.Context, program string) (map[StudyID]VerdictLine, error) {
	all, err := s.store.VerdictLines(ctx, program)
	kept := make(map[StudyID]VerdictLine, len(all))
	for _, x := range all {
		kept[x.StudyID] = x
	}
	return kept, err
}

// KeepVerdictLine finds what a closed study found, and keeps what say makes of it.
func (s *Service) KeepVerdictLine(ctx context.Context, id StudyID, program string,
	say func(Study, *analysis.Result) (said string, people int)) (VerdictLine, error) {
	line := VerdictLine{StudyID: id, Program: program}
	var err error
	if line.AsOf, err = s.store.LastEntry(ctx, id); err != nil { // first: what comes meanwhile is new
		return line, err
	}
	stored, found, err := s.Findings(ctx, id)
	switch {
	case err == nil:
		line.Said, line.People = say(stored, found)
	case !errors.Is(err, analysis.ErrNoRatings):
		return line, err
	}
	return line, s.store.KeepVerdictLine(ctx, line)
}
