package panel

import (
	"slices"
	"strings"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// TurnID is what the wire calls a turn: random, and never that of a serving.
type TurnID string

// ServingID is what the wire calls a serving: random, and never that of a turn.
type ServingID string

// Turn is what an assessor is given at once and answers at once, as it is kept: one
// serving, several side by side under their codes, or a name to read.
type Turn struct {
	ID       TurnID
	StudyID  StudyID
	Place    int // assessor's place in the plan, from 0
	Order    int // from 0, in the order in which the assessor gets them
	Sitting  int // from 1
	Role     design.Role
	Response study.Response
	Name     study.NameID // that is read; "" where plates are served
	Servings []Serving    // in the order in which they are served; none where a name is read

	RefusedAt time.Time // zero unless the guest did not want it
	PassedAt  time.Time // since when its plates stand at the pass; zero until the kitchen says so
	OpenedAt  time.Time // when the guest typed the code on the plate; zero before, and where nothing asks for it
}

// Serving is one serving of a turn: a plate.
type Serving struct {
	ID       ServingID
	TurnID   TurnID
	Order    int // from 0, within the turn
	Role     design.Role
	Position int // from 1 among the rated servings of the assessor; 0 for a warm-up or a reference
	Sample   study.SampleID
	Code     design.Code

	ServedAt   time.Time // zero until floor set it down
	RevealedAt time.Time // zero unless the blind was broken for it
}

// reads reports whether a name is read, before any tasting: nothing is served.
func (t Turn) reads() bool { return t.Role == design.Expected }

// Code is [design.Code], for rooms that know no plan.
type Code = design.Code

// PlateCodes name the plates of a turn: their codes, rising, with a space between them.
// "" for a name that is read.
type PlateCodes string

// Key names the plates of a turn: what opens its seal, in whatever order somebody types
// the codes.
func (t Turn) Key() PlateCodes {
	codes := make([]design.Code, len(t.Servings))
	for i, v := range t.Servings {
		codes[i] = v.Code
	}
	return keyOf(codes)
}

// keyOf is the [Turn.Key] of codes, in whatever order they come.
func keyOf[Code ~string](codes []Code) PlateCodes {
	var key PlateCodes
	for i, c := range slices.Sorted(slices.Values(codes)) {
		if i > 0 {
			key += " "
		}
		key += PlateCodes(c)
	}
	return key
}

// CodesTyped is the [Turn.Key] of codes as somebody typed them.
func CodesTyped(text string) PlateCodes { return keyOf(strings.Fields(text)) }

// set reports whether every plate of the turn was set down.
func (t Turn) set() bool {
	return len(t.Servings) > 0 && !slices.ContainsFunc(t.Servings, func(v Serving) bool { return v.ServedAt.IsZero() })
}

// touched reports whether a plate of the turn was set down, or the guest typed the code on it.
func (t Turn) touched() bool {
	return !t.OpenedAt.IsZero() || slices.ContainsFunc(t.Servings, func(v Serving) bool { return !v.ServedAt.IsZero() })
}

// servedAt is when the last of its plates was set down; zero before all are.
func (t Turn) servedAt() (at time.Time) {
	if !t.set() {
		return at
	}
	for _, v := range t.Servings {
		at = later(at, v.ServedAt)
	}
	return at
}

// known reports whether a serving is the reference with which the others of its turn
// are compared.
func (t Turn) known(v Serving) bool { return v.Role == design.Reference && t.Role == design.Rated }

// index returns where a serving stands within the turn, or -1.
func (t Turn) index(id ServingID) int {
	return slices.IndexFunc(t.Servings, func(v Serving) bool { return v.ID == id })
}

// carries reports whether the codes that a phone showed may be meant for the turn: of
// one of its plates or of all; "" = not said.
func (t Turn) carries(shown PlateCodes) bool {
	return shown == "" || shown == t.Key() || slices.ContainsFunc(t.Servings,
		func(v Serving) bool { return PlateCodes(v.Code) == shown })
}

// Answer is one answer as it is kept.
type Answer struct {
	ServingID ServingID // "" where it is about the turn as a whole
	Attribute study.AttributeID
	Value     float64
}

// KeyedAnswer is an answer with what the key says of it, for analysis after close.
type KeyedAnswer struct {
	Place     int
	Turn      int         // from 1, for each assessor
	Role      design.Role // of the serving; of the turn where it is about that as a whole
	Position  int         // from 1; 0 for a warm-up, a reference, a name and a turn as a whole
	Sitting   int         // of the plan, from 1
	Code      design.Code // "" for a name and for a turn as a whole
	Sample    study.SampleID
	Reference study.SampleID // what the known reference of its turn was; "" = there is none
	Name      study.NameID   // that was read; "" where plates were served
	Attribute study.AttributeID
	Value     float64
	At        time.Time
	EnteredBy string // who of the staff typed it; "" = the assessor
	Revealed  bool   // the blind was broken for a plate of the turn

	NotSetDown bool       // floor did not note that a plate of the turn was set down
	Incidents  []Incident // of the turn, by name
	Seq        int        // the phone's count of the submission; 0 = not counted
	// Took is from when floor noted its plate as set down until its first answers were given;
	// 0 when that is not known.
	Took time.Duration
}

// AnsweredTurn is a turn that has its answers.
type AnsweredTurn struct {
	TurnID     TurnID
	AssessorID AssessorID
	Seq        int // the phone's count of its submissions; 0 = not counted
	At         time.Time
	EnteredBy  string // who of the staff typed them; "" = the assessor
	Comment    string
}

// Replaced is a set of answers that does not count: a correction replaced it, or
// it arrived after its correction or after the close.
type Replaced struct {
	TurnID     TurnID
	AfterClose bool
	Seq        int
	EnteredBy  string
	Comment    string
	At         time.Time // when they arrived
	ReplacedAt time.Time
	Answers    []Answer // by serving and attribute
}
