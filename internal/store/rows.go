package store

import (
	"database/sql"
	"fmt"
	"strconv"
	"strings"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// The rows as the migrations make them. Each has two functions that turn the
// thing into its row and back.

type studyRow struct {
	ID        panel.StudyID
	File      string
	State     string
	Created   time.Time `gorm:"column:created_at"`
	LockedAt  sql.NullTime
	Seed      string // decimal; "" until locked
	Engine    int
	StudyHash string
	PlanHash  string
	ClosedAt  sql.NullTime

	LastCallAt sql.NullTime
	ClosingAt  sql.NullTime

	Revision      int
	TextNumber    int
	Series        panel.StudyID
	Version       int
	Amends        panel.StudyID
	Reason        string
	RatingsBefore int
	ArchivedAt    sql.NullTime
	ExportedAt    sql.NullTime
	ForgottenAt   sql.NullTime
}

func (studyRow) TableName() string { return "studies" }

func rowOfStudy(s panel.Study) studyRow {
	row := studyRow{ID: s.ID, File: s.File, State: s.State.String(), Created: instant(s.Created),
		ClosedAt: instantOrNull(s.ClosedAt), LastCallAt: instantOrNull(s.LastCallAt),
		ClosingAt: instantOrNull(s.ClosingAt),
		Revision:  s.Revision, TextNumber: 1, Series: s.Series, Version: s.Version, Amends: s.Amends, Reason: s.Reason,
		RatingsBefore: s.RatingsBefore, ArchivedAt: instantOrNull(s.ArchivedAt),
		ExportedAt: instantOrNull(s.ExportedAt), ForgottenAt: instantOrNull(s.ForgottenAt)}
	row.setLock(s.Lock)
	return row
}

func (r *studyRow) setLock(l panel.Lock) {
	if l == (panel.Lock{}) {
		return
	}
	r.LockedAt = instantOrNull(l.At)
	r.Seed = strconv.FormatUint(l.Seed, 10)
	r.Engine = l.Engine
	r.StudyHash = l.StudyHash
	r.PlanHash = l.PlanHash
}

func (r studyRow) study() (panel.Study, error) {
	state, err := stateOf(r.State)
	if err != nil {
		return panel.Study{}, fmt.Errorf("study %s: %w", r.ID, err)
	}
	s := panel.Study{ID: r.ID, File: r.File, State: state, Created: r.Created.UTC(), ClosedAt: timeOrZero(r.ClosedAt),
		LastCallAt: timeOrZero(r.LastCallAt), ClosingAt: timeOrZero(r.ClosingAt),
		Revision: r.Revision, Series: r.Series, Version: r.Version, Amends: r.Amends, Reason: r.Reason,
		RatingsBefore: r.RatingsBefore, ArchivedAt: timeOrZero(r.ArchivedAt), ExportedAt: timeOrZero(r.ExportedAt),
		ForgottenAt: timeOrZero(r.ForgottenAt)}
	if r.Seed == "" {
		return s, nil
	}
	seed, err := strconv.ParseUint(r.Seed, 10, 64)
	if err != nil {
		return panel.Study{}, fmt.Errorf("study %s: read seed: %w", r.ID, err)
	}
	s.Lock = panel.Lock{At: timeOrZero(r.LockedAt), Seed: seed, Engine: r.Engine, StudyHash: r.StudyHash,
		PlanHash: r.PlanHash}
	return s, nil
}

// listedRow is what a list reads of a study.
type listedRow struct {
	ID, Series                                  panel.StudyID
	State                                       string
	Created                                     time.Time
	LockedAt, ClosedAt, ArchivedAt, ForgottenAt sql.NullTime
	Revision, Version                           int
}

func (r listedRow) study() (panel.Study, error) {
	state, err := stateOf(r.State)
	if err != nil {
		return panel.Study{}, fmt.Errorf("study %s: %w", r.ID, err)
	}
	return panel.Study{ID: r.ID, State: state, Created: r.Created.UTC(), Lock: panel.Lock{At: timeOrZero(r.LockedAt)},
		ClosedAt: timeOrZero(r.ClosedAt), Revision: r.Revision, Series: r.Series, Version: r.Version,
		ArchivedAt: timeOrZero(r.ArchivedAt), ForgottenAt: timeOrZero(r.ForgottenAt)}, nil
}

func stateOf(word string) (panel.State, error) {
	for state := panel.Draft; state <= panel.Closed; state++ {
		if state.String() == word {
			return state, nil
		}
	}
	return 0, fmt.Errorf("state %q is not known", word)
}

// studyView is a study with what stands in other tables.
type studyView struct {
	Row     studyRow `gorm:"embedded"`
	CanUndo bool
	CanRedo bool

	SignedName  sql.NullString
	SignedAt    sql.NullTime
	SignedStudy sql.NullString
	SignedPlan  sql.NullString
}

func (v studyView) study() (panel.Study, error) {
	s, err := v.Row.study()
	s.CanUndo, s.CanRedo = v.CanUndo, v.CanRedo
	s.Countersigned = panel.Countersign{At: timeOrZero(v.SignedAt), Name: v.SignedName.String,
		StudyHash: v.SignedStudy.String, PlanHash: v.SignedPlan.String}
	return s, err
}

type sittingRow struct {
	ID        panel.SittingID
	StudyID   panel.StudyID
	Number    int
	JoinToken panel.JoinToken
	OpenedAt  sql.NullTime
	AskWord   bool
	Released  int
	Declined  int `gorm:"->"` // counted when read; no column

	LookedAt     sql.NullTime
	LookedPeople int
	LookEnough   bool
}

func (sittingRow) TableName() string { return "sittings" }

func rowOfSitting(s panel.Sitting) sittingRow {
	return sittingRow{ID: s.ID, StudyID: s.StudyID, Number: s.Number, JoinToken: s.Join,
		OpenedAt: instantOrNull(s.OpenedAt), AskWord: s.AskWord, Released: s.Released,
		LookedAt: instantOrNull(s.Look.At), LookedPeople: s.Look.People, LookEnough: s.Look.Enough}
}

func (r sittingRow) sitting() panel.Sitting {
	return panel.Sitting{ID: r.ID, StudyID: r.StudyID, Number: r.Number, Join: r.JoinToken,
		OpenedAt: timeOrZero(r.OpenedAt), AskWord: r.AskWord, Released: r.Released, Declined: r.Declined,
		Look: panel.Look{At: timeOrZero(r.LookedAt), People: r.LookedPeople, Enough: r.LookEnough}}
}

type declineRow struct {
	SittingID  panel.SittingID
	NonceHash  panel.TokenHash
	DeclinedAt time.Time
	Why        panel.WhyNot
}

func (declineRow) TableName() string { return "declines" }

type assessorRow struct {
	ID          panel.AssessorID
	StudyID     panel.StudyID
	SittingID   panel.SittingID
	Place       int
	TokenHash   panel.TokenHash
	JoinedAt    time.Time
	StartedAt   sql.NullTime
	FinishedAt  sql.NullTime
	Seat        string
	TableNumber int
	TableSeat   int
	Phone       bool
	LeftAt      sql.NullTime
	LeftSelf    bool
	WithdrawnAt sql.NullTime
	RestedAt    sql.NullTime
	Language    string
	Screening   string // as in senses=no kitchen=yes

	LastGuess      string
	LastThought    string
	LastSaidAt     sql.NullTime
	LastEnteredBy  string
	LastAfterClose bool
}

func (assessorRow) TableName() string { return "assessors" }

func rowOfAssessor(a panel.Assessor, tokenHash panel.TokenHash) assessorRow {
	return assessorRow{ID: a.ID, StudyID: a.StudyID, SittingID: a.SittingID, Place: a.Place, TokenHash: tokenHash,
		JoinedAt: instant(a.JoinedAt), StartedAt: instantOrNull(a.StartedAt), FinishedAt: instantOrNull(a.FinishedAt),
		Seat: a.Seat, TableNumber: a.Table, TableSeat: a.TableSeat, Phone: a.Phone,
		LeftAt: instantOrNull(a.LeftAt), LeftSelf: a.LeftSelf,
		WithdrawnAt: instantOrNull(a.WithdrawnAt), RestedAt: instantOrNull(a.RestedAt),
		Language: a.Language, Screening: screeningText(a.Screening),
		LastGuess: string(a.SaidLast.Guess), LastThought: a.SaidLast.Thought,
		LastSaidAt: instantOrNull(a.SaidLast.At), LastEnteredBy: a.SaidLast.EnteredBy,
		LastAfterClose: a.SaidLast.AfterClose}
}

func (r assessorRow) assessor() panel.Assessor {
	return panel.Assessor{ID: r.ID, StudyID: r.StudyID, SittingID: r.SittingID, Place: r.Place,
		JoinedAt: r.JoinedAt.UTC(), StartedAt: timeOrZero(r.StartedAt), FinishedAt: timeOrZero(r.FinishedAt),
		Seat: r.Seat, Table: r.TableNumber, TableSeat: r.TableSeat, Phone: r.Phone,
		LeftAt: timeOrZero(r.LeftAt), LeftSelf: r.LeftSelf,
		WithdrawnAt: timeOrZero(r.WithdrawnAt), RestedAt: timeOrZero(r.RestedAt),
		Language: r.Language, Screening: screeningOf(r.Screening),
		SaidLast: panel.SaidLast{Guess: study.Guess(r.LastGuess), Thought: r.LastThought, At: timeOrZero(r.LastSaidAt),
			EnteredBy: r.LastEnteredBy, AfterClose: r.LastAfterClose}}
}

// screeningText writes answers to screening questions; their ids hold no space and
// no sign.
func screeningText(answers []panel.ScreenAnswer) string {
	words := make([]string, len(answers))
	for i, x := range answers {
		words[i] = x.Question + "=" + string(x.Answer)
	}
	return strings.Join(words, " ")
}

func screeningOf(text string) []panel.ScreenAnswer {
	var answers []panel.ScreenAnswer
	for _, word := range strings.Fields(text) {
		question, answer, _ := strings.Cut(word, "=")
		answers = append(answers, panel.ScreenAnswer{Question: question, Answer: study.Reply(answer)})
	}
	return answers
}

type eventRow struct {
	StudyID panel.StudyID
	Number  int
	At      time.Time
	Who     string
	What    string
	Detail  string
	Before  string
	Hash    string
}

func (eventRow) TableName() string { return "events" }

func rowOfEntry(e panel.Entry) eventRow {
	return eventRow{StudyID: e.StudyID, Number: e.Number, At: e.At, Who: e.Who, What: e.What, Detail: e.Detail,
		Before: e.Before, Hash: e.Hash}
}

func (r eventRow) event() panel.Event {
	return panel.Event{At: r.At.UTC(), StudyID: r.StudyID, Who: r.Who, What: r.What, Detail: r.Detail}
}

func (r eventRow) entry() panel.Entry {
	return panel.Entry{Event: r.event(), Number: r.Number, Before: r.Before, Hash: r.Hash}
}

type logEndRow struct {
	StudyID panel.StudyID
	Number  int
	Hash    string
}

func (logEndRow) TableName() string { return "log_ends" }

type settingRow struct {
	Name  string
	Value string
}

func (settingRow) TableName() string { return "settings" }

// instant is t as it is kept: in UTC, cut to the microsecond. PostgreSQL would
// round, and so make a time that has not come yet.
func instant(t time.Time) time.Time { return t.UTC().Truncate(time.Microsecond) }

// instantOrNull keeps the zero time as NULL.
func instantOrNull(t time.Time) sql.NullTime {
	return sql.NullTime{Time: instant(t), Valid: !t.IsZero()}
}

func timeOrZero(t sql.NullTime) time.Time {
	if !t.Valid {
		return time.Time{}
	}
	return t.Time.UTC()
}

// each turns rows into things.
func each[Row, Thing any](rows []Row, thing func(Row) Thing) []Thing {
	things := make([]Thing, len(rows))
	for i, row := range rows {
		things[i] = thing(row)
	}
	return things
}
