package store

import (
	"database/sql"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// answeredRow says that a turn has its answers.
type answeredRow struct {
	TurnID     string
	AssessorID panel.AssessorID
	AnsweredAt time.Time
	GivenAt    time.Time
	Seq        int
	EnteredBy  string
	WaitedMs   int64
	Comment    string
}

func (answeredRow) TableName() string { return "answered_turns" }

func (r answeredRow) answered() panel.AnsweredTurn {
	return panel.AnsweredTurn{TurnID: panel.TurnID(r.TurnID), AssessorID: r.AssessorID, Seq: r.Seq,
		At:        r.AnsweredAt.UTC(),
		EnteredBy: r.EnteredBy, Comment: r.Comment}
}

type answerRow struct {
	TurnID    string
	ServingID string
	Attribute string
	Value     float64
}

func (answerRow) TableName() string { return "answers" }

func rowOfAnswer(turnID panel.TurnID, a panel.Answer) answerRow {
	return answerRow{TurnID: string(turnID), ServingID: string(a.ServingID), Attribute: string(a.Attribute),
		Value: a.Value}
}

func (r answerRow) answer() panel.Answer {
	return panel.Answer{ServingID: panel.ServingID(r.ServingID), Attribute: study.AttributeID(r.Attribute),
		Value: r.Value}
}

// keyedRow is an answer with its turn and serving.
type keyedRow struct {
	Place     int
	TurnOrder int
	Sitting   int
	Role      string
	Position  int
	Code      design.Code
	Sample    string
	Reference string
	Name      string
	Attribute string
	Value     float64
	GivenAt   time.Time
	EnteredBy string
	Revealed  bool

	NotSetDown bool
	Incidents  string // with a comma between them
	Seq        int

	ServedAt   sql.NullTime // its own plate
	AnsweredAt time.Time
	WaitedMs   int64
}

// took is from when the plate was set down until its first answers were given; 0 where
// that is not known: the staff entered them, or the plate was noted later.
func (r keyedRow) took() time.Duration {
	if !r.ServedAt.Valid || r.EnteredBy != "" {
		return 0
	}
	return max(0, r.AnsweredAt.Add(-time.Duration(r.WaitedMs)*time.Millisecond).Sub(r.ServedAt.Time))
}

func (r keyedRow) keyed() (panel.KeyedAnswer, error) {
	role, err := roleOf(r.Role)
	return panel.KeyedAnswer{Place: r.Place, Turn: r.TurnOrder + 1, Role: role, Position: r.Position,
		Sitting: r.Sitting, Code: r.Code, Sample: study.SampleID(r.Sample), Reference: study.SampleID(r.Reference),
		Name: study.NameID(r.Name), Attribute: study.AttributeID(r.Attribute), Value: r.Value, At: r.GivenAt.UTC(),
		EnteredBy: r.EnteredBy,
		Revealed:  r.Revealed, NotSetDown: r.NotSetDown, Incidents: incidentsIn(r.Incidents),
		Seq: r.Seq, Took: r.took()}, err
}

// submissionRow is a submission that was taken.
type submissionRow struct {
	AssessorID panel.AssessorID
	ID         string
	TurnID     string
	TakenAt    time.Time
	Outcome    string
}

func (submissionRow) TableName() string { return "submissions" }

// replacedRow is a set of answers that does not count any more, or never did.
type replacedRow struct {
	ID         int64 `gorm:"primaryKey;autoIncrement"`
	TurnID     string
	Seq        int
	EnteredBy  string
	Comment    string
	GivenAt    time.Time
	ReplacedAt time.Time
	AfterClose bool
}

func (replacedRow) TableName() string { return "replaced_turns" }

func (r replacedRow) replaced() panel.Replaced {
	return panel.Replaced{TurnID: panel.TurnID(r.TurnID), Seq: r.Seq, EnteredBy: r.EnteredBy, Comment: r.Comment,
		At: r.GivenAt.UTC(), ReplacedAt: r.ReplacedAt.UTC(), AfterClose: r.AfterClose}
}

type replacedAnswerRow struct {
	ReplacedID int64
	ServingID  string
	Attribute  string
	Value      float64
}

func (replacedAnswerRow) TableName() string { return "replaced_answers" }
