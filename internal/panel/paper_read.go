package panel

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

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

func (r *readPaper) refuse(line int, what, instead study.Said) {
	r.check.Refused = append(r.check.Refused, study.Problem{File: r.file, Line: line, What: what, Instead: instead})
}

func (r *readPaper) read(table PaperTable) PaperCheck {
	r.turns, r.asked = map[TurnID]*paperTurn{}, questionColumns(r.evening.study.Spec)
	if r.readHead(table.Head); len(r.check.Refused) > 0 {
		return r.check
	}
	if len(table.Rows) > MaxPaperRows {
		r.refuse(0, study.Say("the table has %d rows", len(table.Rows)),
			study.Say("at most %d; split it", MaxPaperRows))
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
		r.refuse(0, study.Say("the table has no answers"), study.Say("type a row for each plate"))
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
			r.refuse(1, study.Say("the column %q stands twice", name), study.Say("keep one"))
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
			r.refuse(1, study.Say("there is no column %q", name),
				study.Say("the first line must name %s", strings.Join(wanted, ", ")))
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
		r.refuse(row.Line, study.Say("the study does not ask %q", id), study.Say("write one of: %s", listed(r.asked)))
		return
	}
	r.put(x, paperCell{serving, id}, typedCell{r.cell(row, valueColumn), row.Line})
}

func listed(ids []study.AttributeID) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = string(id)
	}
	return strings.Join(names, ", ")
}

func (r *readPaper) put(x *paperTurn, at paperCell, typed typedCell) {
	if before, twice := x.cells[at]; twice {
		r.refuse(typed.line, study.Say("%s of this plate stands on line %d already", at.attribute, before.line),
			study.Say("keep one of the two"))
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
		r.refuse(row.Line, study.Say("%q is no assessor", number), study.Say("write the number on the ballot"))
		return nil, 0
	}
	i := slices.IndexFunc(r.evening.seats, func(t seatState) bool { return t.assessor.Label() == label })
	switch {
	case i < 0:
		r.refuse(row.Line, study.Say("assessor %d has not been seated", label),
			study.Say("have the floor seat the guest, who agrees first; or correct the number"))
		return nil, 0
	case !r.evening.seats[i].assessor.WithdrawnAt.IsZero():
		r.refuse(row.Line, study.Say("assessor %d deleted their answers", label), study.Say("take the row out"))
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
		r.refuse(row.Line, study.Say("assessor %d has no plate with the code %q", label, typed),
			study.Say("compare number and code with the ballot"))
		return nil, 0
	}
	x := t.turns[at]
	if why, instead := t.notOnPaper(x); why.Text != "" {
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
			r.refuse(row.Line, study.Say(why, t.assessor.Label()), study.Say("take the row out; names and plates "+
				"of a guest may come in one table"))
			return -1
		}
		return i
	}
	r.refuse(row.Line, study.Say("assessor %d reads no name %q before tasting", t.assessor.Label(), name),
		study.Say("compare the name with the sheet, or take the row out"))
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
func (t seatState) notOnPaper(x Turn) (why, instead study.Said) {
	_, answered := t.answered[x.ID]
	switch {
	case answered && x.reads():
		return study.Say("what assessor %d expected of that name is in already", t.assessor.Label()),
			study.Say("take the row out")
	case answered:
		return study.Say("the plate %s of assessor %d has its answers already", x.Key(), t.assessor.Label()),
			study.Say("take the row out")
	case x.Response == study.TasteOnly:
		return study.Say("nothing is asked of the plate %s", x.Key()), study.Say("take the row out")
	case !t.opened[x.Sitting]:
		return study.Say("the plate %s is of sitting %d, which has not been opened", x.Key(), x.Sitting),
			study.Say("import it once that sitting is open")
	}
	return why, instead
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
