package desk

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// houseRecord is what the closed studies of the house say, question by question.
type houseRecord struct {
	site.Frame
	Questions []recordedQuestion
	Deleted   []recordedStudy // the house's own; ID is empty
	Joins     bool            // who reads may let another house's study join
	Problems  []site.Problem
	House     site.Field
	Package   site.Field
	Joined    bool // one joined just now
}

type recordedQuestion struct {
	report.RecordText
	Own     string // language of what was asked, where it is another than the page's
	Studies []recordedStudy
	All     *recordedStudy // what all say together
}

type recordedStudy struct {
	ID          panel.StudyID  // "" when it is another house's
	Joined      panel.JoinedID // of another house's
	House       string
	Title, When string
	Own         string // language of the title, where it is another than the page's
	Guests      string
	Found       string
	Bar         rangeBar
	Invented    bool // said of those that are deleted
}

// rangeBar draws an interval across the page, all of one question on one axis.
type rangeBar struct {
	Width, Zero  float64
	From, To, At float64
	Line         bool // there is an interval
}

// barWidth is that of a bar's drawing, in its own units; barEdge stays free at both ends.
const barWidth, barEdge = 320, 8

const recordPath = "/studies/record"

var recordScreen = site.DeskScreen[houseRecord]("desk/record")

func (s *handlers) record(c *gin.Context) error {
	page, err := s.recordPage(c)
	if err != nil {
		return err
	}
	page.Joined = c.Query("joined") != ""
	return site.Show(s.Site, c, http.StatusOK, recordScreen, page)
}

func (s *handlers) recordPage(c *gin.Context) (houseRecord, error) {
	by, w := site.SessionOf(c), site.TongueOf(c)
	found, err := s.Panel.Record(c.Request.Context(), by)
	page := houseRecord{Frame: s.DeskFrame(c, "What the house has found", nil),
		Joins: panel.MayDo(by.Role, panel.ActJoinRecord, panel.Closed),
		House: site.Field{ID: "house", Label: w.Translate("Which house is it?")},
		Package: site.Field{ID: "file", Label: w.Translate("Its data package"),
			Hint: w.Translate("The ZIP file “Data package” on the page of the closed study there.")}}
	if err != nil {
		return page, err
	}
	deleted, err := s.Panel.KeptVerdicts(c.Request.Context(), by)
	if err != nil {
		return page, err
	}
	for _, k := range deleted {
		line := recordedStudy{Joined: k.ID, Title: k.Title, When: w.Moment(k.ClosedAt.Local()),
			Guests: guestsWords(w, k.People), Found: lineIn(w, k.Said), Invented: k.Invented}
		page.Deleted = append(page.Deleted, line)
	}
	studies, err := s.Panel.Studies(c.Request.Context())
	own, zones := map[panel.StudyID]string{}, map[panel.StudyID]*time.Location{"": time.Local}
	for _, x := range studies {
		own[x.ID] = site.OtherThan(w.Tag(), x.Spec.Language())
		zones[x.ID] = x.Zone()
	}
	for _, q := range found {
		page.Questions = append(page.Questions, recordedOf(w, q, own, zones))
	}
	return page, err
}

// join lets what another house found stand in the record.
func (s *handlers) join(c *gin.Context) error {
	page, err := s.recordPage(c)
	if err != nil {
		return err
	}
	page.House.Value = c.Request.PostFormValue("house")
	w := site.TongueOf(c)
	err = s.joinFile(c, page.House.Value)
	var wrong *datapackage.PackageError
	switch {
	case err == nil:
		return site.SeeOther(c, recordPath+"?joined=1")
	case errors.Is(err, panel.ErrNoHouse):
		page.House.Problem = w.Translate("Write its name, in at most %d characters, and choose the file again.",
			panel.MaxHouse)
	case errors.As(err, &wrong):
		page.Package.Problem = site.Sentence(w.Tell(wrong.What)) + " " + site.Sentence(w.Tell(wrong.Instead))
	case errors.Is(err, panel.ErrOwnStudy):
		page.Package.Problem = w.Translate("This is a study of your own service: it stands in the record by itself.")
	case errors.Is(err, panel.ErrJoined):
		page.Package.Problem = w.Translate("This study stands in the record already.")
	default:
		return err
	}
	page.Problems = site.Problems(w, page.House, page.Package)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, recordScreen, page)
}

func (s *handlers) joinFile(c *gin.Context, house string) error {
	file, _, err := c.Request.FormFile("file")
	if err != nil {
		return &datapackage.PackageError{What: study.Say("no file was chosen"),
			Instead: study.Say("choose the data package")}
	}
	defer file.Close()
	b, err := io.ReadAll(io.LimitReader(file, panel.MaxPhoto))
	if err != nil {
		return fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	found, err := datapackage.Receive(b)
	if err != nil {
		return err
	}
	found.House = house
	return s.Panel.JoinRecord(c.Request.Context(), site.SessionOf(c), found)
}

// leave takes a study of another house out of the record.
func (s *handlers) leave(c *gin.Context) error {
	id := panel.JoinedID(c.Request.PostFormValue("study"))
	if err := s.Panel.LeaveRecord(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	return site.SeeOther(c, recordPath)
}

// recordedOf says what is recorded of a question; own are the languages of studies that are not in that of the page.
func recordedOf(w site.Tongue, q panel.QuestionRecord, own map[panel.StudyID]string,
	zones map[panel.StudyID]*time.Location) recordedQuestion {
	shown := recordedQuestion{RecordText: report.RecordWords(q.Record, tellsIn(w))}
	if len(q.Kept) > 0 {
		shown.Own = own[q.Kept[0].Study]
	}
	reach := axisReach(q)
	for i, k := range q.Kept {
		f := q.Record.Studies[i]
		shown.Studies = append(shown.Studies, recordedStudy{ID: k.Study, Joined: k.Joined, House: k.House,
			Title: f.Study, Own: own[k.Study], When: w.Moment(k.ClosedAt.In(cmp.Or(zones[k.Study], time.Local))),
			Guests: guestsWords(w, f.People), Found: w.Tell(report.RecordDifference(f, q.Intervals[i])),
			Bar: barOf(f.Difference, q.Intervals[i].Lo, q.Intervals[i].Hi, reach)})
	}
	if t := q.Together; t != nil {
		shown.All = &recordedStudy{Guests: guestsWords(w, t.Guests),
			Found: w.Tell(report.RecordDifference(analysis.FoundDifference{From: q.Record.Studies[0].From,
				To: q.Record.Studies[0].To, Difference: t.Mean}, t.CI)), Bar: barOf(t.Mean, t.CI.Lo, t.CI.Hi, reach)}
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
