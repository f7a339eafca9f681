package panel_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestAnswersOfEveryExampleComeFromPaper fills the sheet of every example study, imports
// it, and finds after the close each answer that was typed, and no other.
func TestAnswersOfEveryExampleComeFromPaper(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			n := newNight(t, string(text))
			levels := map[string]int{}
			stored := of[panel.Study](n)(n.svc.Study(t.Context(), n.study))
			for i := range stored.Spec.Serving.Strata {
				levels[fmt.Sprintf("g%d", i+1)] = 1
			}
			for _, nonce := range []string{"one", "two"} {
				_ = of[panel.SeatToken](n)(n.svc.Consent(t.Context(), n.sitting.Join, nonce,
					panel.PhoneConsent{Levels: levels}))
			}
			sheet := n.paperSheet()
			typed := n.fill(stored.Spec, &sheet)
			if len(typed) == 0 {
				t.Fatal("the sheet has nothing to fill in")
			}
			check := of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, sheet))
			if len(check.Refused) > 0 || check.Guests != 2 || check.Servings+check.Names != len(sheet.Rows) ||
				check.Left != 0 || (check.Names > 0) != stored.Spec.Serving.Expectation {
				t.Fatalf("taken: %d servings and %d names of %d guests, of %d rows; %d left; refused: %v",
					check.Servings, check.Names, check.Guests, len(sheet.Rows), check.Left, check.Refused)
			}
			n.must(n.svc.Close(t.Context(), byLead, n.study))
			_, all, err := n.svc.Collected(t.Context(), n.study)
			n.must(err)
			kept, called := map[string]float64{}, map[study.NameID]string{}
			for _, x := range stored.Spec.Names {
				called[x.ID] = x.Text
			}
			for _, a := range all.Answers {
				kept[fmt.Sprint(a.Place+1, " ", a.Code, " ", called[a.Name], " ", a.Attribute)] = a.Value
				if a.EnteredBy != "lead, from paper" {
					t.Errorf("entered by %q", a.EnteredBy)
				}
			}
			if diff := cmp.Diff(typed, kept); diff != "" {
				t.Errorf("typed (-) and kept (+):\n%s", diff)
			}
		})
	}
}

// paperSheet is the lead's sheet, with the codes typed from the ballots.
func (n *night) paperSheet() panel.PaperTable {
	n.t.Helper()
	_, sheet, err := n.svc.PaperSheet(n.t.Context(), n.lead, n.study)
	n.must(err)
	for i, code := range of[[]string](n)(n.svc.CodesToType(n.t.Context(), n.study)) {
		if sheet.Rows[i].Cells[1] != "" {
			n.t.Errorf("the lead's sheet has the code %s", sheet.Rows[i].Cells[1])
		}
		sheet.Rows[i].Cells[1] = code
	}
	return sheet
}

// fill types an answer into each cell of a sheet, as somebody would from ballots.
func (n *night) fill(a *study.Study, sheet *panel.PaperTable) map[string]float64 {
	typed := map[string]float64{}
	at := map[string]int{} // plates of a turn that have their answer
	turn := map[string]string{}
	for _, g := range of[panel.PaperBallots](n)(n.svc.PaperBallots(n.t.Context(), n.floor)).Guests {
		for _, x := range g.Turns {
			for _, code := range strings.Fields(string(x.Code)) {
				turn[fmt.Sprint(g.Label, " ", code)] = fmt.Sprint(g.Label, " ", x.Code)
			}
		}
	}
	for i, row := range sheet.Rows {
		of, name := turn[row.Cells[0]+" "+row.Cells[1]], ""
		for k, column := range sheet.Head[2:] {
			if column == "name" {
				name = row.Cells[k+2]
				continue
			}
			v := cellOf(a, column, at[of], i)
			sheet.Rows[i].Cells[k+2] = strconv.FormatFloat(v, 'f', -1, 64)
			typed[fmt.Sprint(row.Cells[0], " ", row.Cells[1], " ", name, " ", column)] = v
		}
		at[of]++
	}
	return typed
}

// cellOf is the answer about the plate at at of its turn, on the row i.
func cellOf(a *study.Study, column string, at, i int) float64 {
	switch a.Question.Response() {
	case study.ChooseOne:
		return map[bool]float64{true: 1}[at == 0]
	case study.SortIntoPairs:
		return []float64{1, 2, 1, 2}[at]
	case study.RankAll:
		return float64(at + 1)
	case study.SayOneOfTwo:
		return 1
	case study.Rate, study.TickWords, study.TasteOnly:
	}
	x, rated := a.Attribute(study.AttributeID(column))
	switch {
	case !rated: // a word of a list
		return float64(i % 2)
	case x.Scale.Kind == study.Line:
		return x.Scale.Min() + float64(i%7)
	}
	return x.Scale.Min() + float64(i%2)
}

// TestAHalfGoodTableImportsNothing refuses tables row by row, each with its line and what
// to write, and keeps nothing of them.
func TestAHalfGoodTableImportsNothing(t *testing.T) {
	n := newNight(t, three)
	tasted := n.guest("one")
	n.guest("two")
	answered := string(ballot(t, n.svc, tasted).Turn.Plates[0].Code)
	n.taste(tasted)
	sheet := n.paperSheet()
	if got := len(sheet.Rows); got != 5 || !slices.Equal(sheet.Head, []string{"assessor", "code", "salt", "liking"}) {
		t.Fatalf("the sheet has %d rows under %v", got, sheet.Head)
	}
	own := map[string][]string{} // codes by assessor
	for _, row := range sheet.Rows {
		own[row.Cells[0]] = append(own[row.Cells[0]], row.Cells[1])
	}
	good := []string{"2", own["2"][0], "12", "7"}
	for name, tc := range map[string]struct {
		head []string
		row  []string
		want string
	}{
		"nobody's number": {nil, []string{"5", "111", "1", "1"}, "line 3: assessor 5 has not been seated"},
		"no number":       {nil, []string{"x", "111", "1", "1"}, `line 3: "x" is no assessor`},
		"another's code": {nil, []string{"2", own["1"][0], "1", "1"},
			"line 3: assessor 2 has no plate with the code"},
		"answered already": {nil, []string{"1", answered, "1", "1"}, "has its answers already"},
		"off the line": {nil, []string{"2", own["2"][1], "101", "1"}, "line 3: salt of the plate " + own["2"][1] +
			` is "101"; write a number from 0 to 100`},
		"no label": {nil, []string{"2", own["2"][1], "1", "10"}, "liking of the plate " + own["2"][1] +
			" cannot be read; write a whole number from 1 to 9"},
		"missing": {nil, []string{"2", own["2"][1], "1", ""},
			"liking of the plate " + own["2"][1] + " is missing"},
		"twice":          {nil, good, "line 3: salt of this plate stands on line 2 already"},
		"no such column": {[]string{"assessor", "code", "salt"}, good, `line 1: there is no column "liking"`},
	} {
		t.Run(name, func(t *testing.T) {
			table := panel.PaperTable{File: "ballots.csv", Head: sheet.Head,
				Rows: []panel.PaperRow{{Line: 2, Cells: good}, {Line: 3, Cells: tc.row}}}
			if tc.head != nil {
				table.Head = tc.head
			}
			check := of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table))
			if check.Sound() || !strings.Contains(refusals(check), tc.want) {
				t.Errorf("refused:\n%s\nwant %q", refusals(check), tc.want)
			}
			if _, left, err := n.svc.PaperSheet(t.Context(), n.lead, n.study); err != nil || len(left.Rows) != 5 {
				t.Errorf("answers of a refused table are in: %d plates are left, %v", len(left.Rows), err)
			}
		})
	}
	table := panel.PaperTable{File: "ballots.csv",
		Head: []string{"Assessor", "Code", "Salt", "liking", "dish", "comment"},
		Rows: []panel.PaperRow{{Line: 2, Cells: append(slices.Clone(good), "secret", "grainy")}}}
	check := of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table))
	want := panel.PaperTaken{Line: 2, Assessor: 2, About: good[1], Said: "salt 12, liking 7"}
	if check.Left != 4 || !slices.Equal(check.Taken, []panel.PaperTaken{want}) {
		t.Errorf("%d plates are left; taken: %+v", check.Left, check.Taken)
	}
	if !check.Sound() || check.Servings != 1 || !slices.Equal(check.LeftAlone, []string{"dish"}) {
		t.Errorf("taken: %+v", check)
	}
	n.wantLogged("lead: answers imported from paper: ballots.csv: servings 1, assessors 1")
	n.wantLogged("lead, from paper: entered: assessor 2, serving 1, code " + good[1])
	check = of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table))
	if check.Sound() || !strings.Contains(refusals(check), "has its answers already") {
		t.Errorf("taken twice: %+v", check)
	}
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	n.wantError("once the key is open", last(n.svc.ImportPaper(t.Context(), n.lead, n.study, table)), panel.ErrNotOpen)
}

// TestNamesComeFromPaperBeforeTasting: what was expected of names is taken by their text or their id,
// once, with plates or before them, and never after a plate was answered.
func TestNamesComeFromPaperBeforeTasting(t *testing.T) {
	text, err := os.ReadFile("../../studies/promised-sweet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	n := newNight(t, string(text))
	n.guest("one")
	n.guest("two")
	sheet := n.paperSheet()
	names := sheet.Names()
	if names == 0 || sheet.Head[2] != "name" {
		t.Fatalf("the sheet has %d names under %v", names, sheet.Head)
	}
	spec := of[panel.Study](n)(n.svc.Study(t.Context(), n.study)).Spec
	n.fill(spec, &sheet)
	at := len(sheet.Rows) - names
	plate, name := sheet.Rows[0], sheet.Rows[at]
	table := func(rows ...panel.PaperRow) panel.PaperTable {
		return panel.PaperTable{File: "names.csv", Head: sheet.Head, Rows: rows}
	}
	wrong := panel.PaperRow{Line: 2, Cells: slices.Clone(name.Cells)}
	wrong.Cells[2] = "no such name"
	byID := panel.PaperRow{Line: 2, Cells: slices.Clone(name.Cells)}
	for _, x := range spec.Names {
		if x.Text == name.Cells[2] {
			byID.Cells[2] = strings.ToUpper(string(x.ID))
		}
	}
	check := of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table(wrong)))
	if check.Sound() || !strings.Contains(refusals(check), `reads no name "no such name" before tasting`) {
		t.Errorf("a name that nobody reads: %s", refusals(check))
	}
	check = of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table(byID)))
	if !check.Sound() || check.Names != 1 || check.Servings != 0 || check.Left != at || len(check.Taken) != 1 ||
		check.Taken[0].About != name.Cells[2] {
		t.Fatalf("taken: %+v", check)
	}
	check = of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table(name)))
	if check.Sound() || !strings.Contains(refusals(check), "is in already") {
		t.Errorf("a name twice: %s", refusals(check))
	}
	n.must(last(n.svc.ImportPaper(t.Context(), n.lead, n.study, table(plate))))
	late := sheet.Rows[at+1]
	if late.Cells[0] != plate.Cells[0] {
		t.Fatalf("the second name is of assessor %s, the plate of %s", late.Cells[0], plate.Cells[0])
	}
	check = of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table(late)))
	if check.Sound() || !strings.Contains(refusals(check), "has answers to a plate already") {
		t.Errorf("a name after a plate: %s", refusals(check))
	}
	n.wantLogged("lead: answers imported from paper: names.csv: servings 0, assessors 1, names read 1")
}

func refusals(check panel.PaperCheck) string {
	var lines []string
	for _, p := range check.Refused {
		lines = append(lines, fmt.Sprintf("line %d: %s; %s", p.Line, p.What, p.Instead))
	}
	return strings.Join(lines, "\n")
}
