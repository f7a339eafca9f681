package store

import (
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// ratedServingRow says that a serving has its answers.
type ratedServingRow struct {
	ServingID  string
	AssessorID string
	RatedAt    time.Time
	Seq        int
	EnteredBy  string
	Comment    string
}

func (ratedServingRow) TableName() string { return "rated_servings" }

func (r ratedServingRow) ratedServing() panel.RatedServing {
	return panel.RatedServing{ServingID: r.ServingID, AssessorID: r.AssessorID, Seq: r.Seq, At: r.RatedAt.UTC(),
		EnteredBy: r.EnteredBy, Comment: r.Comment}
}

type ratingRow struct {
	ServingID string
	Attribute string
	Value     float64
	RatedAt   time.Time
}

func (ratingRow) TableName() string { return "ratings" }

func rowOfRating(servingID string, a panel.Answered) ratingRow {
	return ratingRow{ServingID: servingID, Attribute: string(a.Attribute), Value: a.Value, RatedAt: instant(a.At)}
}

func (r ratingRow) answered() panel.Answered {
	return panel.Answered{ServingID: r.ServingID, Attribute: study.AttributeID(r.Attribute), Value: r.Value, At: r.RatedAt.UTC()}
}

// ratedRow is a rating joined with its serving.
type ratedRow struct {
	Place     int
	Position  int
	Code      string
	Sample    string
	Attribute string
	Value     float64
	RatedAt   time.Time
	EnteredBy string
	Revealed  bool

	NotSetDown bool
}

func (r ratedRow) rated() panel.Rated {
	return panel.Rated{Place: r.Place, Position: r.Position, Code: r.Code, Sample: study.SampleID(r.Sample),
		Attribute: study.AttributeID(r.Attribute), Value: r.Value, At: r.RatedAt.UTC(), EnteredBy: r.EnteredBy, Revealed: r.Revealed, NotSetDown: r.NotSetDown}
}

// submissionRow is a submission that was taken.
type submissionRow struct {
	AssessorID string
	ID         string
	ServingID  string
	TakenAt    time.Time
	Outcome    string
}

func (submissionRow) TableName() string { return "submissions" }

// replacedRow is a set of answers that does not count any more, or never did.
type replacedRow struct {
	ID         int64 `gorm:"primaryKey;autoIncrement"`
	ServingID  string
	Seq        int
	EnteredBy  string
	Comment    string
	RatedAt    time.Time
	ReplacedAt time.Time
	AfterClose bool
}

func (replacedRow) TableName() string { return "replaced_answers" }

func (r replacedRow) replaced() panel.Replaced {
	return panel.Replaced{ServingID: r.ServingID, Seq: r.Seq, EnteredBy: r.EnteredBy, Comment: r.Comment,
		At: r.RatedAt.UTC(), ReplacedAt: r.ReplacedAt.UTC(), AfterClose: r.AfterClose}
}

type replacedRatingRow struct {
	AnswersID int64
	Attribute string
	Value     float64
}

func (replacedRatingRow) TableName() string { return "replaced_ratings" }
