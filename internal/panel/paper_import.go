package panel

import (
	"context"
	"fmt"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// PaperTable is a table that somebody typed from paper ballots. Its columns are assessor,
// code and one for each question, or assessor, code, attribute and value; comment may come
// with either, and name where names are read before tasting: a row with a name and no code is
// about that. Columns of other names are left alone: no key is needed, and none is read.
type PaperTable struct {
	File string
	Head []string
	Rows []PaperRow
}

// PaperRow is a row of a table, with the line on which it stands in its file.
type PaperRow struct {
	Line  int
	Cells []string
}

// Names counts the rows of a [Service.PaperSheet] that are about a name.
func (t PaperTable) Names() (n int) {
	if len(t.Head) < 3 || t.Head[2] != nameColumn {
		return 0
	}
	for _, row := range t.Rows {
		if row.Cells[2] != "" {
			n++
		}
	}
	return n
}

// MaxPaperRows is far above what a panel answers in writing.
const MaxPaperRows = 20_000

// The columns that every table has, those of one with an answer a row, and what the assessor wrote.
const (
	assessorColumn  = "assessor"
	codeColumn      = "code"
	attributeColumn = "attribute"
	valueColumn     = "value"
	commentColumn   = "comment"
	nameColumn      = "name"
)

// PaperCheck says what of a table would be taken, and why the rest is refused. By its
// codes alone: it has no field for a sample or a name.
type PaperCheck struct {
	Guests, Servings int             // that would be taken
	Names            int             // likewise, that were read before tasting
	Left             int             // plates still to be answered that the table does not have
	Taken            []PaperTaken    // what would be taken, in the order of the table
	Refused          []study.Problem // where it stands, what is wrong, what to write
	LeftAlone        []string        // columns that are not read

	turns []paperTurn
}

// Sound reports whether the whole table can be taken.
func (c PaperCheck) Sound() bool { return len(c.Refused) == 0 && c.Servings+c.Names > 0 }

// PaperTaken is what would be taken of one page of a ballot, to be held against it.
type PaperTaken struct {
	Line, Assessor int
	About          string // codes of plates, or a name
	Said           string // as it was typed, answer by answer
}

// paperTurn is a turn with what was typed of it.
type paperTurn struct {
	seat    seatState
	at      int // its index
	line    int // of its first row
	cells   map[paperCell]typedCell
	comment string
	answers []Answer
}

// paperCell is where an answer belongs: a serving of a turn, by its order, and what was
// asked of it.
type paperCell struct {
	serving   int
	attribute study.AttributeID
}

type typedCell struct {
	text string
	line int
}

// CheckPaper says what of a table would be taken by [Service.ImportPaper]. It keeps nothing.
func (s *Service) CheckPaper(ctx context.Context, by Session, studyID StudyID, table PaperTable) (Study, PaperCheck,
	error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Study{}, PaperCheck{}, err
	}
	if err := by.mayNow(ActImport, stored.State); err != nil {
		return Study{}, PaperCheck{}, err
	}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return Study{}, PaperCheck{}, err
	}
	r := readPaper{file: table.File, evening: e}
	return stored, r.read(table), nil
}

// ImportPaper takes the answers of a table that were written on paper, all of them or none:
// none when the check refuses a row, or when somebody has answered one of the turns since.
func (s *Service) ImportPaper(ctx context.Context, by Session, studyID StudyID, table PaperTable) (PaperCheck, error) {
	stored, check, err := s.CheckPaper(ctx, by, studyID, table)
	if err != nil || !check.Sound() {
		return check, err
	}
	from := by.Who() + ", from paper"
	subs := make([]Submitted, len(check.turns))
	for i, x := range check.turns {
		id := x.seat.turns[x.at].ID
		subs[i] = Submitted{ID: "paper/" + string(id), AssessorID: x.seat.assessor.ID, TurnID: id, Answers: x.answers,
			Comment: x.comment, EnteredBy: from, At: s.now(), Ended: stored.Ending().over(s.now())}
	}
	detail := fmt.Sprintf("%s: servings %d, assessors %d", table.File, check.Servings, check.Guests)
	if check.Names > 0 {
		detail += fmt.Sprintf(", names read %d", check.Names)
	}
	e := s.event(studyID, by.Who(), "answers imported from paper", detail)
	err = s.store.SubmitAll(ctx, subs, func(i int, st Standing) (Outcome, *Event) {
		x := check.turns[i]
		outcome := judge(0, false, st)
		return outcome, s.noteSubmission(x.seat, x.at, outcome, from)
	}, e)
	if err != nil {
		return check, fmt.Errorf("import answers from paper: %w", err)
	}
	s.changed(studyID)
	return check, nil
}

// PaperSheet is an empty table for what is still to be answered: a row for each plate of
// each guest who sits, then one for each name that is still to be read. It has no codes: which
// stand on whose plates is nothing that the lead may know before the close. Whoever types finds
// them on the ballots.
func (s *Service) PaperSheet(ctx context.Context, by Session, studyID StudyID) (Study, PaperTable, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Study{}, PaperTable{}, err
	}
	if err := by.mayNow(ActImport, stored.State); err != nil {
		return Study{}, PaperTable{}, err
	}
	sheet := PaperTable{Head: []string{assessorColumn, codeColumn}}
	if stored.Spec.Serving.Expectation {
		sheet.Head = append(sheet.Head, nameColumn)
	}
	for _, id := range questionColumns(stored.Spec) {
		sheet.Head = append(sheet.Head, string(id))
	}
	e, err := s.evening(ctx, stored)
	for _, x := range e.toType() {
		cells := make([]string, len(sheet.Head))
		cells[0] = strconv.Itoa(x.assessor)
		sheet.Rows = append(sheet.Rows, PaperRow{Cells: cells})
	}
	for _, t := range e.seats {
		for _, x := range t.turns {
			if x.reads() && !t.over(x) && t.mayReadOnPaper(x) == "" {
				cells := make([]string, len(sheet.Head))
				cells[0], cells[2] = strconv.Itoa(t.assessor.Label()), nameText(stored.Spec, x.Name)
				sheet.Rows = append(sheet.Rows, PaperRow{Cells: cells})
			}
		}
	}
	return stored, sheet, err
}

// nameText is a name as the study has it.
func nameText(a *study.Study, id study.NameID) string {
	for _, n := range a.Names {
		if n.ID == id {
			return n.Text
		}
	}
	return string(id)
}

// mayReadOnPaper says why what a guest expected of a name is not taken from paper; "" = it is.
// What is on record already was tasted before the table came, whenever its names were read.
func (t seatState) mayReadOnPaper(x Turn) (why string) {
	switch {
	case !t.assessor.WithdrawnAt.IsZero():
		return "assessor %d withdrew"
	case !t.opened[x.Sitting]:
		return "the names of assessor %d are read at a sitting that has not been opened"
	case t.last() >= 0 && !t.turns[t.last()].reads():
		return "names are read before tasting, and assessor %d has answers to a plate already"
	}
	return ""
}

// plateToType is a plate that is still to be answered, and whose it is.
type plateToType struct {
	assessor int
	code     design.Code
}

func (e evening) toType() (all []plateToType) {
	for _, t := range e.seats {
		for _, x := range t.turns {
			if !t.onPaperSheet(x) {
				continue
			}
			for _, v := range askedOf(x) {
				all = append(all, plateToType{t.assessor.Label(), v.Code})
			}
		}
	}
	return all
}

// onPaperSheet reports whether a turn is still to be answered, at a sitting that was opened.
func (t seatState) onPaperSheet(x Turn) bool {
	return t.assessor.WithdrawnAt.IsZero() && t.opened[x.Sitting] && !t.over(x) && !x.reads() &&
		x.Response != study.TasteOnly
}

// askedOf are the plates of a turn that an answer is about: the known reference of a
// comparison is not.
func askedOf(x Turn) []Serving {
	if x.Response == study.Rate || x.Response == study.TickWords {
		return x.Servings
	}
	return chosen(x)
}

// questionColumns are the columns of the questions of a study, by what an answer is kept as.
func questionColumns(a *study.Study) (all []study.AttributeID) {
	response := a.Question.Response()
	if response != study.Rate && response != study.TickWords {
		return []study.AttributeID{response.Answer()}
	}
	for _, x := range a.Attributes {
		if x.Scale.Kind == study.WordList {
			all = append(all, x.Scale.Ticks...)
			continue
		}
		all = append(all, x.ID)
	}
	return all
}
