package calibrate_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/calibrate"
)

// FuzzCSVOfEveryKind: a file of answers to any kind of plan is taken whole or refused whole,
// each problem inside it; what is taken is the same once written and read again, and can be
// analysed. It starts from a sound file of each kind.
func FuzzCSVOfEveryKind(f *testing.F) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		f.Fatal(err)
	}
	for i, k := range kinds {
		f.Add(uint8(i), answersOf(f, k.Study).text(f))
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		s := kinds[int(kind)%len(kinds)].Study
		answers, problems := analysis.ReadCSV("answers.csv", strings.NewReader(text), s, nil)
		if (answers == nil) != (len(problems) > 0) {
			t.Fatalf("%d answers with %d problems: by half", len(answers), len(problems))
		}
		lines := 1 + strings.Count(text, "\n")
		for _, p := range problems {
			if p.Line < 0 || p.Line > lines+1 || p.Column < 0 || p.Column > len(text)+1 || p.What.Text == "" {
				t.Fatalf("problem outside the file of %d lines: %s", lines, p.Error())
			}
		}
		if answers == nil {
			return
		}
		var out bytes.Buffer
		if err := analysistest.WriteCSV(&out, s, answers); err != nil {
			t.Fatal(err)
		}
		again, problems := analysis.ReadCSV("answers.csv", bytes.NewReader(out.Bytes()), s, nil)
		if len(problems) > 0 || !reflect.DeepEqual(answers, again) {
			t.Fatalf("written and read again: %v\n%s", problems, out.String())
		}
		if _, err := analysis.Analyse(s, answers, analysis.Options{}); err != nil {
			t.Fatalf("answers that were read cannot be analysed: %v", err)
		}
	})
}
