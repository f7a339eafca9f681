package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// ForgetGuests deletes of a closed study what could tell who a guest was: its log never knew. Answers, their
// order and the numbers of those who gave them stay, and so do the hashes of plan and study.
func (s *Store) ForgetGuests(ctx context.Context, id panel.StudyID, at time.Time, e panel.Event) error {
	return s.writing(ctx, "forget guests", func(tx *gorm.DB) error {
		row, err := lockStudy(tx, id, lockState)
		switch {
		case err != nil:
			return err
		case row.State != panel.Closed.String():
			return panel.ErrWrongState
		case row.ForgottenAt.Valid:
			return nil
		}
		for _, statement := range forgetGuests {
			if err := tx.Exec(statement, sql.Named("study", id)).Error; err != nil {
				return err
			}
		}
		// an export that was made before holds what is gone now
		since := studyRow{ForgottenAt: instantOrNull(at)}
		if err := updateStudy(tx, id, since, "ForgottenAt", "ExportedAt"); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// forgetGuests: a personal link leads nowhere once no row has the hash of its token.
var forgetGuests = []string{
	"UPDATE assessors SET token_hash = 'forgotten/' || id, seat = '', table_number = 0, table_seat = 0 " +
		"WHERE study_id = @study",
	"UPDATE answered_turns SET comment = '' WHERE comment <> '' AND " + itsTurns,
	"UPDATE replaced_turns SET comment = '' WHERE comment <> '' AND " + itsTurns,
	"DELETE FROM submissions WHERE " + itsAssessors,
	"DELETE FROM freed_links WHERE " + itsSittings,
}
