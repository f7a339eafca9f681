package desk

import (
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
)

// houseRecord is what the closed studies of the house say, question by question.
type houseRecord struct {
	site.Frame
	Questions []recordedQuestion
}

type recordedQuestion struct {
	report.RecordText
	Studies []recordedStudy
	All     *recordedStudy // what all say together
}

type recordedStudy struct {
	ID          panel.StudyID
	Title, When string
	Guests      string
	Found       string
	Bar         rangeBar
}

// rangeBar draws an interval across the page, all of one question on one axis.
type rangeBar struct {
	Width, Zero  float64
	From, To, At float64
	Line         bool // there is an interval
}

// barWidth is that of a bar's drawing, in its own units; barEdge stays free at both ends.
const barWidth, barEdge = 320, 8

var recordScreen = site.DeskScreen[houseRecord]("desk/record")

func (s *handlers) record(c *gin.Context) error {
	found, err := s.Panel.Record(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	page := houseRecord{Frame: s.DeskFrame(c, "What the house has found", false)}
	for _, q := range found {
		page.Questions = append(page.Questions, recordedOf(q))
	}
	return site.Show(s.Site, c, http.StatusOK, recordScreen, page)
}

func recordedOf(q panel.QuestionRecord) recordedQuestion {
	shown := recordedQuestion{RecordText: report.RecordWords(q.Record)}
	reach := axisReach(q)
	for i, k := range q.Kept {
		f := q.Record.Studies[i]
		shown.Studies = append(shown.Studies, recordedStudy{ID: k.Study, Title: f.Study, When: site.Moment(k.ClosedAt),
			Guests: site.Counted(f.People, "guest"), Found: report.RecordDifference(f, q.Intervals[i]),
			Bar: barOf(f.Difference, q.Intervals[i].Lo, q.Intervals[i].Hi, reach)})
	}
	if t := q.Together; t != nil {
		shown.All = &recordedStudy{Guests: site.Counted(t.Guests, "guest"),
			Found: report.RecordDifference(analysis.FoundDifference{From: q.Record.Studies[0].From,
				To: q.Record.Studies[0].To, Difference: t.Mean}, t.CI), Bar: barOf(t.Mean, t.CI.Lo, t.CI.Hi, reach)}
	}
	return shown
}

// axisReach is how far the axis goes to both sides of 0, in scale points, for all to be on it.
func axisReach(q panel.QuestionRecord) float64 {
	reach := 0.
	for i, f := range q.Record.Studies {
		reach = max(reach, math.Abs(f.Difference))
		if ci := q.Intervals[i]; !ci.Absent() {
			reach = max(reach, math.Abs(ci.Lo), math.Abs(ci.Hi))
		}
	}
	if t := q.Together; t != nil {
		reach = max(reach, math.Abs(t.CI.Lo), math.Abs(t.CI.Hi))
	}
	return reach
}

func barOf(at, lo, hi, reach float64) rangeBar {
	place := func(v float64) float64 {
		if reach == 0 {
			return barWidth / 2
		}
		return math.Round(10*(barWidth/2+(barWidth/2-barEdge)*v/reach)) / 10
	}
	b := rangeBar{Width: barWidth, Zero: barWidth / 2, At: place(at)}
	if b.Line = !math.IsNaN(lo) && !math.IsNaN(hi); b.Line {
		b.From, b.To = place(lo), place(hi)
	}
	return b
}
