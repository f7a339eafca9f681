package store

import (
	"context"
	"errors"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

type userRow struct {
	ID      panel.UserID
	Name    string
	NameKey string
	Role    string
	Digest  string
	Owner   bool
	AddedAt time.Time

	Language string
}

func (userRow) TableName() string { return "users" }

type userRoleRow struct {
	UserID panel.UserID
	Series panel.StudyID
	Role   string
}

func (userRoleRow) TableName() string { return "user_roles" }

func (r userRow) user(in []userRoleRow) panel.User {
	u := panel.User{ID: r.ID, Name: r.Name, Role: panel.RoleOf(r.Role), Digest: r.Digest, Owner: r.Owner,
		Added: r.AddedAt.UTC()}
	for _, x := range in {
		if x.UserID == r.ID {
			if u.In == nil {
				u.In = map[panel.StudyID]panel.Role{}
			}
			u.In[x.Series] = panel.RoleOf(x.Role)
		}
	}
	return u
}

// AddUser keeps a user, unless somebody has the id or the name, or owns the service as they are to, or there are as
// many as there may be.
func (s *Store) AddUser(ctx context.Context, u panel.User, most int, e panel.Event) error {
	row := userRow{ID: u.ID, Name: u.Name, NameKey: panel.NameKey(u.Name), Role: u.Role.String(), Digest: u.Digest,
		Owner: u.Owner, AddedAt: instant(u.Added)}
	return s.writing(ctx, "add user", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: whoever adds one at the same time waits here
			return err
		}
		var n int64
		if err := tx.Model(&userRow{}).Count(&n).Error; err != nil {
			return err
		}
		var same int64
		err := tx.Model(&userRow{}).Where("id = ? OR name_key = ? OR owner AND ?", row.ID, row.NameKey,
			row.Owner).Count(&same).Error
		switch {
		case err != nil:
			return err
		case same > 0:
			return panel.ErrTaken
		case n >= int64(most):
			return panel.ErrTooMany
		}
		return tx.Create(&row).Error
	})
}

// User returns a user.
func (s *Store) User(ctx context.Context, id panel.UserID) (panel.User, error) {
	return s.userWhere(ctx, "id = ?", id)
}

// Owner returns the user who owns the service.
func (s *Store) Owner(ctx context.Context) (panel.User, error) {
	return s.userWhere(ctx, "owner")
}

// UserNamed returns the user who has a name.
func (s *Store) UserNamed(ctx context.Context, name string) (panel.User, error) {
	return s.userWhere(ctx, "name_key = ?", panel.NameKey(name))
}

func (s *Store) userWhere(ctx context.Context, which ...any) (panel.User, error) {
	var row userRow
	var in []userRoleRow
	err := s.reading(ctx, "find user", func(db *gorm.DB) error {
		if err := db.Take(&row, which...).Error; err != nil {
			return err
		}
		return db.Find(&in, "user_id = ?", row.ID).Error
	})
	return row.user(in), err
}

// UsersSeen returns all users, the owner first.
func (s *Store) UsersSeen(ctx context.Context, now time.Time) ([]panel.UserSeen, error) {
	var rows []userRow
	var in []userRoleRow
	var sessions []sessionRow
	var keys []passkeyRow
	var invited []invitationRow
	err := s.reading(ctx, "list users", func(db *gorm.DB) error {
		return errors.Join(
			db.Order("CASE WHEN owner THEN 0 ELSE 1 END, name_key").Find(&rows).Error,
			db.Find(&in).Error,
			db.Select("user_id").Find(&sessions, "user_id <> '' AND expires_at > ?", instant(now)).Error,
			db.Select("user_id").Find(&keys).Error,
			db.Find(&invited, "expires_at > ?", instant(now)).Error)
	})
	all := make([]panel.UserSeen, len(rows))
	for i, row := range rows {
		all[i].User = row.user(in)
		for _, x := range sessions {
			if x.UserID == row.ID {
				all[i].Sessions++
			}
		}
		for _, x := range keys {
			if x.UserID == row.ID {
				all[i].Passkeys++
			}
		}
		for _, x := range invited {
			if x.UserID == row.ID {
				all[i].Invited = x.ExpiresAt.UTC()
			}
		}
	}
	return all, err
}

// CountUsers counts all users.
func (s *Store) CountUsers(ctx context.Context) (int, error) {
	var n int64
	err := s.reading(ctx, "count users", func(db *gorm.DB) error { return db.Model(&userRow{}).Count(&n).Error })
	return int(n), err
}

// RoleIn returns the role that a user has in the versions of a study alone.
func (s *Store) RoleIn(ctx context.Context, id panel.UserID, studyID panel.StudyID) (panel.Role, error) {
	var row userRoleRow
	err := s.reading(ctx, "find a role", func(db *gorm.DB) error {
		return db.Take(&row, "user_id = ? AND series = (SELECT series FROM studies WHERE id = ?)", id, studyID).Error
	})
	return panel.RoleOf(row.Role), err
}

// SetRole sets the role of a user, in the versions of a study or where no other is said.
func (s *Store) SetRole(ctx context.Context, id panel.UserID, series panel.StudyID, r panel.Role, e panel.Event) error {
	return s.writing(ctx, "set a role", func(tx *gorm.DB) error {
		changed := tx.Model(&userRow{}).Where("id = ? AND NOT owner", id)
		var done *gorm.DB
		if series == "" {
			done = changed.Update("role", r.String())
		} else {
			done = changed.Update("id", id) // waits for who ends the user
		}
		switch {
		case done.Error != nil:
			return done.Error
		case done.RowsAffected == 0:
			return panel.ErrNotFound
		case series == "":
			return appendEvent(tx, e)
		}
		row := userRoleRow{UserID: id, Series: series, Role: r.String()}
		err := tx.Delete(&userRoleRow{}, "user_id = ? AND series = ?", id, series).Error
		if err == nil && r != panel.RoleNamed {
			err = tx.Create(&row).Error
		}
		if err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// RenameUser gives a user another name, unless somebody else has it.
func (s *Store) RenameUser(ctx context.Context, id panel.UserID, name string, e panel.Event) error {
	return s.writing(ctx, "rename user", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: whoever adds one at the same time waits here
			return err
		}
		key := panel.NameKey(name)
		var same int64
		if err := tx.Model(&userRow{}).Where("id <> ? AND name_key = ?", id, key).Count(&same).Error; err != nil {
			return err
		}
		if same > 0 {
			return panel.ErrTaken
		}
		done := tx.Model(&userRow{}).Where("id = ?", id).Updates(map[string]any{"name": name, "name_key": key})
		if done.Error == nil && done.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return done.Error
	})
}

// HandOver makes another user the owner of the service: a lead in all studies who has a password.
// An invitation of theirs that was not used ends, so that whoever made it cannot choose their password.
func (s *Store) HandOver(ctx context.Context, from, to panel.UserID, e panel.Event) error {
	return s.writing(ctx, "hand the service over", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: of two at once the second one waits here
			return err
		}
		done := tx.Model(&userRow{}).Where("id = ? AND owner", from).Update("owner", false)
		switch {
		case done.Error != nil:
			return done.Error
		case done.RowsAffected == 0:
			return panel.ErrRefused
		}
		done = tx.Model(&userRow{}).Where("id = ? AND role = ? AND digest <> ''", to, panel.RoleLead.String()).
			Where("NOT EXISTS (SELECT 1 FROM user_roles WHERE user_roles.user_id = users.id)").Update("owner", true)
		switch {
		case done.Error != nil:
			return done.Error
		case done.RowsAffected == 0:
			return panel.ErrBadValue
		}
		return tx.Delete(&invitationRow{}, "user_id = ?", to).Error
	})
}

// SetLanguage sets the language in which a user reads pages.
func (s *Store) SetLanguage(ctx context.Context, id panel.UserID, tag string) error {
	return s.writing(ctx, "set a user's language", func(tx *gorm.DB) error {
		done := tx.Model(&userRow{}).Where("id = ?", id).Update("language", tag)
		if done.Error == nil && done.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return done.Error
	})
}

// Invite keeps the invitation of a user in the place of an earlier one: not of the owner's.
func (s *Store) Invite(ctx context.Context, id panel.UserID, tokenHash panel.TokenHash, expires time.Time,
	e panel.Event,
) error {
	return s.writing(ctx, "invite", func(tx *gorm.DB) error {
		if err := appendEvent(tx, e); err != nil { // first: whoever hands the service over waits here
			return err
		}
		var owns int64
		if err := tx.Model(&userRow{}).Where("id = ? AND owner", id).Count(&owns).Error; err != nil {
			return err
		}
		if owns > 0 {
			return panel.ErrRefused
		}
		row := invitationRow{UserID: id, TokenHash: tokenHash, ExpiresAt: instant(expires)}
		return tx.Clauses(clause.OnConflict{
			Columns:   []clause.Column{{Name: "user_id"}},
			DoUpdates: clause.AssignmentColumns([]string{"token_hash", "expires_at"}),
		}).Create(&row).Error
	})
}

// Invitation returns whom an invitation is for, and when it expires.
func (s *Store) Invitation(ctx context.Context, tokenHash panel.TokenHash) (panel.UserID, time.Time, error) {
	var row invitationRow
	err := s.reading(ctx, "find invitation", func(db *gorm.DB) error {
		return db.Take(&row, "token_hash = ?", tokenHash).Error
	})
	return row.UserID, row.ExpiresAt.UTC(), err
}

// AcceptInvitation uses up an invitation. Of two at once the second one deletes
// nothing and is told that there is none.
func (s *Store) AcceptInvitation(ctx context.Context, tokenHash panel.TokenHash, digest string, now time.Time,
	e panel.Event) error {
	return s.writing(ctx, "accept invitation", func(tx *gorm.DB) error {
		var row invitationRow
		if err := tx.Take(&row, "token_hash = ? AND expires_at > ?", tokenHash, instant(now)).Error; err != nil {
			return err
		}
		used := tx.Delete(&invitationRow{}, "user_id = ? AND token_hash = ?", row.UserID, tokenHash)
		if used.Error != nil {
			return used.Error
		}
		if used.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return replacePassword(tx, row.UserID, digest, "", e)
	})
}

// ReplacePassword puts a password in the place of a user's.
func (s *Store) ReplacePassword(ctx context.Context, id panel.UserID, digest string, keep panel.TokenHash,
	e panel.Event) error {
	return s.writing(ctx, "replace password", func(tx *gorm.DB) error {
		return replacePassword(tx, id, digest, keep, e)
	})
}

// replacePassword sets a user's password and ends their sessions but for one.
func replacePassword(tx *gorm.DB, id panel.UserID, digest string, keep panel.TokenHash, e panel.Event) error {
	done := tx.Model(&userRow{}).Where("id = ?", id).Update("digest", digest)
	if done.Error != nil {
		return done.Error
	}
	if done.RowsAffected == 0 {
		return panel.ErrNotFound
	}
	if err := deleteSessionsOf(tx, id, keep); err != nil {
		return err
	}
	if keep == "" { // set by who was not signed in: an old passkey must not open what was shut
		if err := deletePasskeysOf(tx, id); err != nil {
			return err
		}
	}
	return appendEvent(tx, e)
}

// EndUser deletes a user, and all that lets them in.
func (s *Store) EndUser(ctx context.Context, id panel.UserID, e panel.Event) error {
	return s.writing(ctx, "end user", func(tx *gorm.DB) error {
		err := errors.Join(
			tx.Delete(&invitationRow{}, "user_id = ?", id).Error,
			tx.Delete(&userRoleRow{}, "user_id = ?", id).Error,
			deleteSessionsOf(tx, id, ""),
			deletePasskeysOf(tx, id))
		if err != nil {
			return err
		}
		done := tx.Delete(&userRow{}, "id = ? AND NOT owner", id)
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return appendEvent(tx, e)
	})
}
