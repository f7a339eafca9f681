package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

type passkeyRow struct {
	ID         string
	UserID     panel.UserID
	Name       string
	Credential string
	AddedAt    time.Time
	UsedAt     sql.NullTime
	AskedAt    sql.NullTime
}

func (passkeyRow) TableName() string { return "passkeys" }

func (r passkeyRow) passkey() panel.Passkey {
	return panel.Passkey{ID: r.ID, UserID: r.UserID, Name: r.Name, Credential: r.Credential,
		Added: r.AddedAt.UTC(), Used: timeOrZero(r.UsedAt), Asked: timeOrZero(r.AskedAt)}
}

// AddPasskey keeps a passkey, unless its user has as many as it may.
func (s *Store) AddPasskey(ctx context.Context, p panel.Passkey, most int, e panel.Event) error {
	return s.writing(ctx, "add passkey", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: whoever adds one at the same time waits here
			return err
		}
		var n int64
		if err := tx.Model(&passkeyRow{}).Where("user_id = ?", p.UserID).Count(&n).Error; err != nil {
			return err
		}
		if n >= int64(most) {
			return panel.ErrTooMany
		}
		row := passkeyRow{ID: p.ID, UserID: p.UserID, Name: p.Name, Credential: p.Credential,
			AddedAt: instant(p.Added), UsedAt: instantOrNull(p.Used), AskedAt: instantOrNull(p.Asked)}
		return tx.Create(&row).Error
	})
}

// Passkeys returns the passkeys of a user, the oldest first.
func (s *Store) Passkeys(ctx context.Context, id panel.UserID) ([]panel.Passkey, error) {
	var rows []passkeyRow
	err := s.reading(ctx, "list passkeys", func(db *gorm.DB) error {
		return db.Order("added_at, id").Find(&rows, "user_id = ?", id).Error
	})
	return each(rows, passkeyRow.passkey), err
}

// Passkey returns a passkey, whoever has it.
func (s *Store) Passkey(ctx context.Context, id string) (panel.Passkey, error) {
	var row passkeyRow
	err := s.reading(ctx, "find passkey", func(db *gorm.DB) error { return db.Take(&row, "id = ?", id).Error })
	return row.passkey(), err
}

// UsePasskey notes that a passkey answered a challenge, once: of two answers at the same time
// to the same challenge the second changes nothing and is told so.
func (s *Store) UsePasskey(ctx context.Context, p panel.Passkey) error {
	return s.writing(ctx, "use passkey", func(tx *gorm.DB) error {
		done := tx.Model(&passkeyRow{}).Where("id = ? AND (asked_at IS NULL OR asked_at < ?)", p.ID, instant(p.Asked)).
			Select("credential", "used_at", "asked_at").Updates(passkeyRow{Credential: p.Credential,
			UsedAt: instantOrNull(p.Used), AskedAt: instantOrNull(p.Asked)})
		if done.Error == nil && done.RowsAffected == 0 {
			return panel.ErrPasskey
		}
		return done.Error
	})
}

// RemovePasskey deletes a passkey of a user.
func (s *Store) RemovePasskey(ctx context.Context, user panel.UserID, id string, e panel.Event) error {
	return s.writing(ctx, "remove passkey", func(tx *gorm.DB) error {
		done := tx.Delete(&passkeyRow{}, "id = ? AND user_id = ?", id, user)
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return appendEvent(tx, e)
	})
}

// HasPasskeys reports whether anybody has one.
func (s *Store) HasPasskeys(ctx context.Context) (bool, error) {
	var some []passkeyRow
	err := s.reading(ctx, "look for a passkey", func(db *gorm.DB) error {
		return db.Select("id").Limit(1).Find(&some).Error
	})
	return len(some) > 0, err
}

func deletePasskeysOf(tx *gorm.DB, id panel.UserID) error {
	return tx.Delete(&passkeyRow{}, "user_id = ?", id).Error
}
