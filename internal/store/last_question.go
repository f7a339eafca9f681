package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// SayLast keeps what an assessor said to the last question, once. The row of the assessor is
// locked meanwhile.
func (s *Store) SayLast(ctx context.Context, assessorID panel.AssessorID, x panel.SaidLast,
	e panel.Event) (outcome panel.Outcome, err error) {
	err = s.writing(ctx, "keep the last question", func(tx *gorm.DB) error {
		assessor, state, err := lockAssessor(tx, assessorID, panel.Open, panel.Closed)
		switch {
		case err != nil:
			return err
		case assessor.WithdrawnAt.Valid:
			return panel.ErrWithdrawn
		case assessor.LastSaidAt.Valid:
			outcome = panel.Repeated
			return nil
		}
		outcome = panel.Recorded
		if late := x.AfterClose || state == panel.Closed; late {
			x.AfterClose, outcome = true, panel.AfterClose
		}
		if state == panel.Closed { // an export that was made before lacks it
			if err := updateStudy(tx, assessor.StudyID, studyRow{}, "ExportedAt"); err != nil {
				return err
			}
		}
		change := map[string]any{"last_guess": string(x.Guess), "last_thought": x.Thought,
			"last_said_at": instant(x.At), "last_entered_by": x.EnteredBy, "last_after_close": x.AfterClose}
		if err := noteRow(tx, &assessorRow{}, string(assessorID), change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
	return outcome, err
}
