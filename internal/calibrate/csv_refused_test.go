package calibrate_test

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/study"
)

// table is a file of answers whose cells are changed by the names of their columns.
type table struct {
	column map[string]int
	rows   [][]string // below the header
	header []string
}

func (f *table) set(row int, column, value string) { f.rows[row][f.column[column]] = value }

// turn are the rows of the first turn that the file has.
func (f *table) turn() (rows []int) {
	first := f.rows[0]
	for i, row := range f.rows {
		if row[f.column["assessor"]] == first[f.column["assessor"]] &&
			row[f.column["turn"]] == first[f.column["turn"]] {
			rows = append(rows, i)
		}
	}
	return rows
}

func (f *table) text(t testing.TB) string {
	t.Helper()
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(append([][]string{f.header}, f.rows...)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// spoilt are mistakes that a file of answers to any question can hold.
var spoilt = map[string]func(*table){
	"nobody":                     func(f *table) { f.set(0, "assessor", "") },
	"a dish that there is not":   func(f *table) { f.set(0, "dish", "no such dish") },
	"something nobody was asked": func(f *table) { f.set(0, "attribute", "no-such-thing") },
	"no value":                   func(f *table) { f.set(0, "value", "") },
	"a word for a number":        func(f *table) { f.set(0, "value", "much") },
	"a value that there is not":  func(f *table) { f.set(0, "value", "77777") },
	"one answer twice":           func(f *table) { f.rows = append(f.rows, slices.Clone(f.rows[0])) },
	"a turn that is no number":   func(f *table) { f.set(0, "turn", "first") },
	"a column gone":              func(f *table) { f.header[f.column["value"]] = "worth" },
	"a row cut short":            func(f *table) { f.rows[1] = f.rows[1][:3] },
}

// spoiltTurns are mistakes of what is answered at once.
var spoiltTurns = map[study.Response]map[string]func(*table){
	study.ChooseOne: {
		"two chosen": func(f *table) {
			for _, i := range f.turn() {
				f.set(i, "value", "1")
			}
		},
		"a serving left out": func(f *table) { f.rows = slices.Delete(f.rows, 1, 2) },
	},
	study.RankAll: {
		"two at one place, and so a gap": func(f *table) {
			for _, i := range f.turn()[:2] {
				f.set(i, "value", "1")
			}
		},
		"a serving left out": func(f *table) { f.rows = slices.Delete(f.rows, 1, 2) },
	},
	study.SortIntoPairs: {
		"one pair of three": func(f *table) {
			for _, i := range f.turn()[:3] {
				f.set(i, "value", "1")
			}
		},
		"a serving left out": func(f *table) { f.rows = slices.Delete(f.rows, 1, 2) },
	},
	study.TickWords: {
		"a word left out": func(f *table) {
			i := slices.IndexFunc(f.rows, func(row []string) bool {
				return strings.Contains(row[f.column["attribute"]], ".")
			})
			f.rows = slices.Delete(f.rows, i, i+1)
		},
	},
}

// TestMistakesInAnswersOfEveryKind: of every kind of plan a sound file of answers is read
// whole, and one with a mistake is refused whole, with the line, what is wrong, and what to write.
func TestMistakesInAnswersOfEveryKind(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[study.Response]bool{}
	for _, k := range kinds {
		if k.Study.Serving.DealtOnArrival() { // whose answers are those of the same study without strata
			continue
		}
		t.Run(k.Name, func(t *testing.T) {
			sound := answersOf(t, k.Study)
			if got, problems := analysis.ReadCSV("answers.csv", strings.NewReader(sound.text(t)), k.Study, nil); len(
				problems) > 0 || len(got) != len(sound.rows) {
				t.Fatalf("a sound file: %d of %d rows, %v", len(got), len(sound.rows), problems)
			}
			refuse(t, k.Study, spoilt)
			refuse(t, k.Study, spoiltTurns[k.Study.Question.Response()])
			seen[k.Study.Question.Response()] = true
		})
	}
	for response := range spoiltTurns {
		if !seen[response] {
			t.Errorf("no kind of plan is answered by %q", response)
		}
	}
}

// refuse spoils a sound file in each of some ways.
func refuse(t *testing.T, s *study.Study, ways map[string]func(*table)) {
	t.Helper()
	for name, spoil := range ways {
		f := answersOf(t, s)
		spoil(f)
		got, problems := analysis.ReadCSV("answers.csv", strings.NewReader(f.text(t)), s, nil)
		if len(problems) == 0 || got != nil {
			t.Errorf("%s: %d answers were taken, with %d problems", name, len(got), len(problems))
		}
		for _, p := range problems {
			if p.File != "answers.csv" || p.Line < 1 || p.Line > len(f.rows)+1 || p.Column < 1 || p.What.Text == "" ||
				p.Instead.Text == "" {
				t.Errorf("%s: says %q, and not where, or not what to write: %+v", name, p.Error(), p)
			}
		}
	}
}

// answersOf is a sound file of answers to a study.
func answersOf(t testing.TB, s *study.Study) *table {
	t.Helper()
	plan, err := design.Draw(s, design.Options{Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	answers := calibrate.Answers(s, plan, 5, rand.New(rand.NewPCG(5, 5)))
	if err := analysistest.WriteCSV(&b, s, answers); err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	f := &table{column: map[string]int{}, rows: all[1:], header: all[0]}
	for i, name := range f.header {
		f.column[name] = i
	}
	return f
}
