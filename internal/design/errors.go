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

// Fields of a study file that mend a conflict.
const (
	FieldSittings      = "panel.sittings"
	FieldSeats         = "panel.seats"
	FieldSpares        = "serving.spare codes"
	FieldMostAtSitting = "serving.most per sitting"
	FieldPerAssessor   = "serving.per assessor"
	FieldReplicates    = "serving.replicates"
	FieldCodes         = "serving.codes"
	FieldDesign        = "serving.design"
)

// A Conflict says which demands of a study cannot both be met, and what to
// write instead. Kind is one of the errors above.
type Conflict struct {
	Kind    error
	What    study.Said // what is wrong and where
	Instead study.Said // what to do, in the words of the study file
	Field   string     // the one field of the file that does it, such as [FieldSittings]; "" where none alone does
	Value   study.Said // what to write there, such as 3 or “4 or more”
	Or      string     // another field in which another choice does it too; "" where none does
}

// Error gives "what is wrong; what to do".
func (c *Conflict) Error() string { return c.What.String() + "; " + c.Instead.String() }

// Unwrap returns the kind.
func (c *Conflict) Unwrap() error { return c.Kind }

func conflict(what, instead study.Said) error {
	return &Conflict{Kind: ErrConflict, What: what, Instead: instead}
}

// fieldConflict is one that a value of a field of the study file mends.
func fieldConflict(what, instead study.Said, field string, value study.Said) error {
	return &Conflict{Kind: ErrConflict, What: what, Instead: instead, Field: field, Value: value}
}
