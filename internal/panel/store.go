package panel

import (
	"context"
	"time"
)

// Store keeps studies, sittings, assessors and ratings. Every method is one
// transaction: it happens whole or not at all, and what it acknowledged is
// durable. A missing thing is [ErrNotFound]; a list of what does not exist is empty.
type Store interface {
	CreateStudy(ctx context.Context, s Study) error
	// Study and Studies leave Asked nil: the service reads File.
	Study(ctx context.Context, id string) (Study, error)
	Studies(ctx context.Context) ([]Study, error) // newest first

	// LockStudy turns a draft into a locked study with its servings;
	// ErrWrongState when it is no draft any more.
	LockStudy(ctx context.Context, id string, lock Lock, servings []Serving) error
	// OpenSitting adds a sitting and sets the study open; ErrWrongState unless
	// the study is locked or open, or when the number is taken.
	OpenSitting(ctx context.Context, s Sitting) error
	// CloseStudy sets an open study closed; ErrWrongState when it is not open.
	CloseStudy(ctx context.Context, id string, at time.Time) error
	Sittings(ctx context.Context, studyID string) ([]Sitting, error) // by number
	SittingByJoin(ctx context.Context, join string) (Sitting, error)

	// Seat gives the next free place of the sitting to a new assessor, found by
	// tokenHash ever after. The same tokenHash again returns the assessor it
	// made the first time. Place and nothing else of a is chosen by the store:
	// the lowest place that has servings at the sitting and is not taken.
	// ErrFull when none is left; ErrNotOpen unless the study is open.
	Seat(ctx context.Context, a Assessor, tokenHash string) (Assessor, error)
	AssessorByToken(ctx context.Context, tokenHash string) (Assessor, error)
	Assessors(ctx context.Context, studyID string) ([]Assessor, error) // by place
	// FreePlaces counts the places of a sitting that are not taken.
	FreePlaces(ctx context.Context, studyID string, sitting int) (int, error)
	// Decline counts one person who should not taste; the same nonceHash counts once.
	Decline(ctx context.Context, sittingID, nonceHash string, at time.Time) error
	// Start notes that the instructions were read; the first time counts.
	Start(ctx context.Context, assessorID string, at time.Time) error

	// Servings returns the servings of one place at one sitting, in order.
	Servings(ctx context.Context, studyID string, place, sitting int) ([]Serving, error)
	// AllServings returns every serving of the plan by place and order.
	AllServings(ctx context.Context, studyID string) ([]Serving, error)
	// Rate records the answers of one serving once: false when the serving has
	// answers already, which then stay as they were. finished is set on the
	// assessor when the serving is the last one. ErrNotOpen unless the study is open.
	Rate(ctx context.Context, assessorID, servingID string, answers []Answered, finished bool) (bool, error)
	// AnsweredServings returns when each serving of an assessor was rated.
	AnsweredServings(ctx context.Context, assessorID string) (map[string]time.Time, error)
	// RatedAll returns every rating by place, serving order and attribute.
	RatedAll(ctx context.Context, studyID string) ([]Rated, error)
	Progress(ctx context.Context, studyID string) (Progress, error)

	AppendEvent(ctx context.Context, e Event) error
	Events(ctx context.Context, studyID string) ([]Event, error) // oldest first

	// Setting returns a setting of the service, ErrNotFound when it is not set.
	Setting(ctx context.Context, key string) (string, error)
	// SetSetting sets a setting that is not set yet; false when it was set already.
	SetSetting(ctx context.Context, key, value string) (bool, error)

	CreateSession(ctx context.Context, tokenHash string, expires time.Time) error
	// SessionExpiry returns when a session ends, ErrNotFound when there is none.
	SessionExpiry(ctx context.Context, tokenHash string) (time.Time, error)
	DeleteSession(ctx context.Context, tokenHash string) error
}
