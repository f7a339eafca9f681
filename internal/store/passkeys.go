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
	Role       string
	Name       string
	Credential string
	AddedAt    time.Time
	UsedAt     sql.NullTime
	AskedAt    sql.NullTime
}

func (passkeyRow) TableName() string { return "passkeys" }

func (r passkeyRow) passkey() panel.Passkey {
	return panel.Passkey{ID: r.ID, Role: panel.RoleOf(r.Role), Name: r.Name, Credential: r.Credential,
		Added: r.AddedAt.UTC(), Used: timeOrZero(r.UsedAt), Asked: timeOrZero(r.AskedAt)}
}

// AddPasskey keeps a passkey, unless its role has as many as it may.
func (s *Store) AddPasskey(ctx context.Context, p panel.Passkey, most int, e panel.Event) error {
	return s.writing(ctx, "add passkey", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: whoever adds one at the same time waits here
			return err
		}
		var n int64
		if err := tx.Model(&passkeyRow{}).Where("role = ?", p.Role.String()).Count(&n).Error; err != nil {
			return err
		}
		if n >= int64(most) {
			return panel.ErrTooMany
		}
		row := passkeyRow{ID: p.ID, Role: p.Role.String(), Name: p.Name, Credential: p.Credential,
			AddedAt: instant(p.Added), UsedAt: instantOrNull(p.Used), AskedAt: instantOrNull(p.Asked)}
		return tx.Create(&row).Error
	})
}

// Passkeys returns the passkeys of a role, the oldest first.
func (s *Store) Passkeys(ctx context.Context, r panel.Role) ([]panel.Passkey, error) {
	var rows []passkeyRow
	err := s.reading(ctx, "list passkeys", func(db *gorm.DB) error {
		return db.Order("added_at, id").Find(&rows, "role = ?", r.String()).Error
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

// RemovePasskey deletes a passkey of a role.
func (s *Store) RemovePasskey(ctx context.Context, r panel.Role, id string, e panel.Event) error {
	return s.writing(ctx, "remove passkey", func(tx *gorm.DB) error {
		done := tx.Delete(&passkeyRow{}, "id = ? AND role = ?", id, r.String())
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return appendEvent(tx, e)
	})
}

func deletePasskeysOf(tx *gorm.DB, r panel.Role) error {
	return tx.Delete(&passkeyRow{}, "role = ?", r.String()).Error
}
