package design

import (
	"errors"

	"cloche/internal/study"
)

// Kinds of error of [Draw], matched with errors.Is.
var (
	// ErrConflict: two demands of the study cannot both be met.
	ErrConflict = errors.New("demands of the study conflict")
	// ErrTooFewCodes: a sitting needs more blinding codes than there are.
	ErrTooFewCodes = errors.New("too few blinding codes")
	// ErrUnknownEngine: the plan was drawn by an engine that this program lacks.
	ErrUnknownEngine = errors.New("unknown engine version")
)

// A Conflict says which demands of a study cannot both be met, and what to
// write instead. Kind is one of the errors above.
type Conflict struct {
	Kind    error
	What    study.Said // what is wrong and where
	Instead study.Said // what to do
}

// Error gives "what is wrong; what to do".
func (c *Conflict) Error() string { return c.What.String() + "; " + c.Instead.String() }

// Unwrap returns the kind.
func (c *Conflict) Unwrap() error { return c.Kind }

func conflict(what, instead study.Said) error {
	return &Conflict{Kind: ErrConflict, What: what, Instead: instead}
}
