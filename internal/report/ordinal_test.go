package report_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

func init() {
	withWarning[analysis.WarnNoOrdinal] = func() (*study.Study, []analysis.Rating) {
		s := labelled(5)
		s.Plan.Test = study.Ordinal
		return s, paired([]float64{3, 3, 3, 3, 3, 3, 3}, []float64{3, 3, 3, 3, 3, 3, 3})
	}
}

// labelled is a study of two recipes on a scale of so many labels.
func labelled(labels int) *study.Study {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Categories}
	for i := range labels {
		s.Attributes[0].Scale.Labels = append(s.Attributes[0].Scale.Labels, "word"+strconv.Itoa(i+1))
	}
	return s
}

var ofTenWords = regexp.MustCompile(`Of ten people, about (\w+) more would answer “word(\d)”( or above)? for (.+) ` +
	`than for (.+?)\.`)

// What is said and drawn of answers on a few labels is what the model and the counts say:
// the sentence, the table of the figure, the odds in the table of how sure.
func TestWhatIsSaidOfAFewLabels(t *testing.T) {
	said := 0
	rapid.Check(t, func(t *rapid.T) {
		labels, n := rapid.IntRange(2, 7).Draw(t, "labels"), rapid.IntRange(6, 30).Draw(t, "people")
		s := labelled(labels)
		s.Plan.Test = rapid.SampledFrom([]study.Test{study.Ordinal, study.PairedT, study.SignedRank}).Draw(t, "test")
		lift := rapid.IntRange(-2, 2).Draw(t, "lift")
		var a, b []float64
		for range n {
			v := rapid.IntRange(1, labels).Draw(t, "b")
			b = append(b, float64(v))
			a = append(a, float64(min(labels, max(1, v+lift+rapid.IntRange(-1, 1).Draw(t, "noise")))))
		}
		r, err := analysis.Analyse(s, paired(a, b), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f, page := r.Findings[0], report.Build(s, r, report.Options{})
		text := strings.Join(page.Verdict, " ")
		m := ofTenWords.FindStringSubmatch(text)
		if f.Ordinal == nil {
			if m != nil || figureOfAnswers(page) != nil {
				t.Errorf("nothing is modelled: %s", text)
			}
			return
		}
		checkAnswerFigure(t, f, figureOfAnswers(page), a, b)
		checkOddsRow(t, f, page)
		if m == nil {
			return
		}
		said++
		label, _ := strconv.Atoi(m[2])
		more := 0.0
		for i := label - 1; i < labels; i++ {
			more += 10 * (f.Ordinal.Shares[0][i] - f.Ordinal.Shares[1][i])
		}
		words := []string{"", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
		if m[1] != words[int(math.Round(math.Abs(more)))] || (m[3] == "") != (label == labels) ||
			(more > 0) != (m[4] == "Dish A") || (more > 0) != (f.Verdict.Direction > 0) || !f.Verdict.Different() {
			t.Errorf("%s; the model has %g more at label %d, direction %d", m[0], more, label, f.Verdict.Direction)
		}
	})
	if said == 0 {
		t.Error("never said how many of ten")
	}
}

func figureOfAnswers(p report.Page) *report.Figure {
	for i, f := range p.Figures {
		if strings.HasPrefix(f.ID, "answers-") {
			return &p.Figures[i]
		}
	}
	return nil
}

func checkAnswerFigure(t *rapid.T, f analysis.Finding, figure *report.Figure, a, b []float64) {
	if figure == nil {
		t.Fatal("no figure of the answers")
	}
	for i, row := range figure.Data.Rows {
		for k, ratings := range [][]float64{a, b} {
			count := 0
			for _, v := range ratings {
				if int(v) == i+1 {
					count++
				}
			}
			if row[1+2*k] != fmt.Sprint(count) || row[2+2*k] != fmt.Sprintf("%.1f", 10*f.Ordinal.Shares[k][i]) {
				t.Errorf("row %v; %d answered so, the model has %g", row, count, f.Ordinal.Shares[k][i])
			}
		}
	}
	if len(figure.Data.Rows) != len(f.Ordinal.Shares[0]) {
		t.Errorf("%d rows for %d labels", len(figure.Data.Rows), len(f.Ordinal.Shares[0]))
	}
}

func checkOddsRow(t *rapid.T, f analysis.Finding, page report.Page) {
	if page.Sure == nil {
		return
	}
	for i, r := range f.Rechecks {
		row := page.Sure.Rows[i+1]
		odds := strings.HasPrefix(row.Difference, "odds × ")
		switch {
		case odds != (r.Odds != nil), r.Method == "ordinal" && *r.Odds != f.Ordinal.Odds:
			t.Errorf("%+v of %+v", row, r)
		case odds && row.Difference != "odds × "+fmt.Sprintf("%.2f", r.Odds.Value):
			t.Errorf("%+v has odds of %g", row, r.Odds.Value)
		}
	}
	for _, r := range f.Rechecks {
		if text := r.Method.Assumes(); text != "" && !strings.Contains(strings.Join(page.Sure.Rest, "\n"), text) {
			t.Errorf("what %s rests on is not said: %v", r.Method, page.Sure.Rest)
		}
	}
}
