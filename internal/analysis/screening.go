package analysis

import (
	"fmt"
	"io"
	"slices"

	"cloche/internal/study"
)

// Screened is what an assessor said to a screening question before the first plate.
type Screened struct {
	Assessor string // label of the assessor
	Question string // id
	Answer   study.Reply
}

// ScreenedOut returns who is left out by the study's screening questions, with the
// reason: that of the first question whose rule applies.
func ScreenedOut(s *study.Study, said []Screened) map[string]string {
	out := map[string]string{}
	for _, q := range s.Panel.Screening {
		for _, x := range said {
			if _, already := out[x.Assessor]; !already && x.Question == q.ID && x.Answer == q.LeavesOut {
				out[x.Assessor] = reasonScreened(q)
			}
		}
	}
	return out
}

func reasonScreened(q study.Screen) string { return screenedIn(q, fmt.Sprintf) }

func screenedIn(q study.Screen, say Say) string {
	return say(fmt.Sprintf("said %s to the screening question “%%s”", q.LeavesOut), q.ID)
}

// screen takes what was said by those who are left out from ratings and
// expectations.
func screen(out map[string]string, ratings []Rating, expected []Expectation) ([]Rating, []Expectation) {
	if len(out) == 0 {
		return ratings, expected
	}
	ratings = slices.DeleteFunc(slices.Clone(ratings), func(r Rating) bool { return out[r.Assessor] != "" })
	expected = slices.DeleteFunc(slices.Clone(expected), func(x Expectation) bool { return out[x.Assessor] != "" })
	return ratings, expected
}

// remarkUnscreened says that assessors rated of whom the answers to the study's
// screening questions are not known.
func remarkUnscreened(s *study.Study, assessors []string, said []Screened) []Warning {
	if len(s.Panel.Screening) == 0 {
		return nil
	}
	answered := map[string]int{}
	for _, x := range said {
		answered[x.Assessor]++
	}
	n := 0
	for _, a := range assessors {
		if answered[a] < len(s.Panel.Screening) {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return []Warning{{WarnUnscreened, fmt.Sprintf("%d of the %d assessors with ratings have not answered every "+
		"screening question, "+
		"as far as this analysis can tell; they are counted", n, len(assessors))}}
}

var screeningColumns = [...]string{"assessor", "question", "answer"}

// ReadScreeningCSV reads what assessors said to the screening questions, one answer
// a row: assessor, question, answer. Otherwise it reads as [ReadCSV] does.
func ReadScreeningCSV(file string, r io.Reader, s *study.Study) ([]Screened, []study.Problem) {
	f := openCSV(file, r, screeningColumns[:])
	if len(f.problems) > 0 {
		return nil, f.problems
	}
	type at struct{ assessor, question string }
	seen := map[at]int{} // line
	var all []Screened
	for row, ok := f.next(); ok; row, ok = f.next() {
		x := Screened{Assessor: row.text("assessor"), Question: row.text("question"),
			Answer: study.Reply(row.text("answer"))}
		asked := slices.ContainsFunc(s.Panel.Screening, func(q study.Screen) bool { return q.ID == x.Question })
		line, twice := seen[at{x.Assessor, x.Question}]
		switch {
		case x.Assessor == "":
			row.report("assessor", "no assessor", "write who answered")
		case !asked:
			row.report("question", fmt.Sprintf("%q is no screening question of the study", x.Question),
				"write the id of one")
		case x.Answer != study.Yes && x.Answer != study.No:
			row.report("answer", fmt.Sprintf("the answer is %q", x.Answer), "write yes or no")
		case twice:
			row.report("question", fmt.Sprintf("assessor %s answered %s in line %d already", x.Assessor, x.Question,
				line), "keep one of the rows")
		default:
			seen[at{x.Assessor, x.Question}] = row.line
			all = append(all, x)
		}
	}
	if len(f.problems) > 0 {
		return nil, f.allProblems()
	}
	return all, nil
}
