package panel

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

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

// readPaper reads a table against an evening.
type readPaper struct {
	file    string
	evening evening
	column  map[string]int
	asked   []study.AttributeID
	turns   map[TurnID]*paperTurn
	order   []*paperTurn
	check   PaperCheck
}

func (r *readPaper) refuse(line int, what, instead string) {
	r.check.Refused = append(r.check.Refused, study.Problem{File: r.file, Line: line, What: what, Instead: instead})
}

func (r *readPaper) read(table PaperTable) PaperCheck {
	r.turns, r.asked = map[TurnID]*paperTurn{}, questionColumns(r.evening.study.Spec)
	if r.readHead(table.Head); len(r.check.Refused) > 0 {
		return r.check
	}
	if len(table.Rows) > MaxPaperRows {
		r.refuse(0, fmt.Sprintf("the table has %d rows", len(table.Rows)),
			fmt.Sprintf("at most %d; split it", MaxPaperRows))
		return r.check
	}
	for _, row := range table.Rows {
		r.readRow(row)
	}
	for _, x := range r.order {
		r.readTurn(x)
	}
	guests := map[AssessorID]bool{}
	for _, x := range r.order {
		guests[x.seat.assessor.ID] = true
		if x.seat.turns[x.at].reads() {
			r.check.Names++
		}
		r.check.Servings += len(askedOf(x.seat.turns[x.at]))
		r.check.Taken = append(r.check.Taken, r.taken(x))
		r.check.turns = append(r.check.turns, *x)
	}
	r.check.Guests, r.check.Left = len(guests), len(r.evening.toType())-r.check.Servings
	if len(r.order) == 0 && len(r.check.Refused) == 0 {
		r.refuse(0, "the table has no answers", "type a row for each plate")
	}
	slices.SortStableFunc(r.check.Refused, func(a, b study.Problem) int { return cmp.Compare(a.Line, b.Line) })
	return r.check
}

// readHead finds the columns. A table is wide, or has an attribute and a value a row.
func (r *readPaper) readHead(head []string) {
	r.column = map[string]int{}
	known := []string{assessorColumn, codeColumn, commentColumn, attributeColumn, valueColumn}
	if r.evening.study.Spec.Serving.Expectation {
		known = append(known, nameColumn)
	}
	for _, id := range r.asked {
		known = append(known, string(id))
	}
	for i, cell := range head {
		name := strings.ToLower(strings.TrimSpace(cell))
		_, twice := r.column[name]
		switch {
		case name == "":
		case !slices.Contains(known, name):
			r.check.LeftAlone = append(r.check.LeftAlone, strings.TrimSpace(cell))
		case twice:
			r.refuse(1, fmt.Sprintf("the column %q stands twice", name), "keep one")
		default:
			r.column[name] = i
		}
	}
	wanted := []string{assessorColumn, codeColumn}
	if !r.long() {
		for _, id := range r.asked {
			wanted = append(wanted, string(id))
		}
	}
	for _, name := range wanted {
		if _, there := r.column[name]; !there {
			r.refuse(1, fmt.Sprintf("there is no column %q", name),
				"the first line must name "+strings.Join(wanted, ", "))
			return
		}
	}
}

// long reports whether the table has one answer a row.
func (r *readPaper) long() bool {
	_, attribute := r.column[attributeColumn]
	_, value := r.column[valueColumn]
	return attribute && value
}

// cell is what stands in a column of a row, without space around it.
func (r *readPaper) cell(row PaperRow, column string) string {
	i, there := r.column[column]
	if !there || i >= len(row.Cells) {
		return ""
	}
	return strings.TrimSpace(row.Cells[i])
}

func (r *readPaper) readRow(row PaperRow) {
	if !slices.ContainsFunc(row.Cells, func(c string) bool { return strings.TrimSpace(c) != "" }) {
		return
	}
	x, serving := r.turnOf(row)
	if x == nil {
		return
	}
	if said := r.cell(row, commentColumn); said != "" && x.comment == "" {
		x.comment = said
	}
	if !r.long() {
		for _, id := range r.asked {
			r.put(x, paperCell{serving, id}, typedCell{r.cell(row, string(id)), row.Line})
		}
		return
	}
	id := study.AttributeID(r.cell(row, attributeColumn))
	if !slices.Contains(r.asked, id) {
		r.refuse(row.Line, fmt.Sprintf("the study does not ask %q", id), "write "+listed(r.asked))
		return
	}
	r.put(x, paperCell{serving, id}, typedCell{r.cell(row, valueColumn), row.Line})
}

func listed(ids []study.AttributeID) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = string(id)
	}
	return strings.Join(names, " or ")
}

func (r *readPaper) put(x *paperTurn, at paperCell, typed typedCell) {
	if before, twice := x.cells[at]; twice {
		r.refuse(typed.line, fmt.Sprintf("%s of this plate stands on line %d already", at.attribute, before.line),
			"keep one of the two")
		return
	}
	x.cells[at] = typed
}

// turnOf finds the turn of a row and the place of its plate in it; nil, and why, when
// there is none that can be answered.
func (r *readPaper) turnOf(row PaperRow) (*paperTurn, int) {
	number, typed := r.cell(row, assessorColumn), r.cell(row, codeColumn)
	label, err := strconv.Atoi(number)
	if err != nil {
		r.refuse(row.Line, fmt.Sprintf("%q is no assessor", number), "write the number on the ballot")
		return nil, 0
	}
	i := slices.IndexFunc(r.evening.seats, func(t seatState) bool { return t.assessor.Label() == label })
	switch {
	case i < 0:
		r.refuse(row.Line, fmt.Sprintf("assessor %d has not been seated", label),
			"have the floor seat the guest, who agrees first; or correct the number")
		return nil, 0
	case !r.evening.seats[i].assessor.WithdrawnAt.IsZero():
		r.refuse(row.Line, fmt.Sprintf("assessor %d deleted their answers", label), "take the row out")
		return nil, 0
	}
	t := r.evening.seats[i]
	at, serving := t.plateTyped(design.Code(typed))
	if name := r.cell(row, nameColumn); typed == "" && name != "" {
		if at = r.nameTyped(row, t, name); at < 0 {
			return nil, 0
		}
	}
	if at < 0 {
		r.refuse(row.Line, fmt.Sprintf("assessor %d has no plate with the code %q", label, typed),
			"compare number and code with the ballot")
		return nil, 0
	}
	x := t.turns[at]
	if why, instead := t.notOnPaper(x); why != "" {
		r.refuse(row.Line, why, instead)
		return nil, 0
	}
	if r.turns[x.ID] == nil {
		r.turns[x.ID] = &paperTurn{seat: t, at: at, line: row.Line, cells: map[paperCell]typedCell{}}
		r.order = append(r.order, r.turns[x.ID])
	}
	return r.turns[x.ID], serving
}

// nameTyped finds the turn at which a guest reads a name, by its text or its id; -1, and why, when
// there is none that can be answered.
func (r *readPaper) nameTyped(row PaperRow, t seatState, name string) int {
	for i, x := range t.turns {
		if !x.reads() || !strings.EqualFold(name, string(x.Name)) &&
			!strings.EqualFold(name, nameText(r.evening.study.Spec, x.Name)) {
			continue
		}
		if why := t.mayReadOnPaper(x); why != "" && !t.over(x) {
			r.refuse(row.Line, fmt.Sprintf(why, t.assessor.Label()), "take the row out; names and plates of a guest "+
				"may come in one table")
			return -1
		}
		return i
	}
	r.refuse(row.Line, fmt.Sprintf("assessor %d reads no name %q before tasting", t.assessor.Label(), name),
		"compare the name with the sheet, or take the row out")
	return -1
}

// taken is what would be taken of a page, for whoever holds it against the ballot.
func (r *readPaper) taken(x *paperTurn) PaperTaken {
	turn := x.seat.turns[x.at]
	taken := PaperTaken{Line: x.line, Assessor: x.seat.assessor.Label(), About: string(turn.Key())}
	if turn.reads() {
		taken.About = nameText(r.evening.study.Spec, turn.Name)
	}
	var said []string
	for k := range max(1, len(turn.Servings)) {
		for _, id := range r.asked {
			if typed := x.cells[paperCell{k, id}].text; typed != "" {
				text := string(id) + " " + typed
				if len(turn.Servings) > 1 {
					text = string(turn.Servings[k].Code) + ": " + typed
				}
				said = append(said, text)
			}
		}
	}
	taken.Said = strings.Join(said, ", ")
	return taken
}

// plateTyped finds the turn and the place in it of the plate with a code. Codes are
// unique within a sitting: of two plates at two sittings the one without answers is meant.
func (t seatState) plateTyped(code design.Code) (turn, serving int) {
	turn = -1
	for i, x := range t.turns {
		for k, v := range x.Servings {
			if v.Code == code && (turn < 0 || !t.onPaperSheet(t.turns[turn])) {
				turn, serving = i, k
			}
		}
	}
	return turn, serving
}

// notOnPaper says why no answers to a turn are taken from paper.
func (t seatState) notOnPaper(x Turn) (why, instead string) {
	_, answered := t.answered[x.ID]
	switch {
	case answered && x.reads():
		return fmt.Sprintf("what assessor %d expected of that name is in already", t.assessor.Label()),
			"take the row out"
	case answered:
		return fmt.Sprintf("the plate %s of assessor %d has its answers already", x.Key(), t.assessor.Label()),
			"take the row out"
	case x.Response == study.TasteOnly:
		return fmt.Sprintf("nothing is asked of the plate %s", x.Key()), "take the row out"
	case !t.opened[x.Sitting]:
		return fmt.Sprintf("the plate %s is of sitting %d, which has not been opened", x.Key(), x.Sitting),
			"import it once that sitting is open"
	}
	return "", ""
}

// readTurn reads the answers of a turn from its cells.
func (r *readPaper) readTurn(x *paperTurn) {
	turn := x.seat.turns[x.at]
	answers, _, problems := x.seat.check(x.at, Submission{TurnID: turn.ID, Given: x.given(), Comment: x.comment})
	x.answers = answers
	if x.seat.commentAsk(turn) == "" {
		x.comment = ""
	}
	for _, field := range sortedFields(problems) {
		r.refuse(x.explained(field, problems[field]))
	}
}

func sortedFields(problems map[string]Problem) []string {
	fields := make([]string, 0, len(problems))
	for field := range problems {
		fields = append(fields, field)
	}
	slices.Sort(fields)
	return fields
}
