package desk

import (
	"bytes"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// eventLog shows the log of a study, or of the service.
type eventLog struct {
	site.Frame
	ID     panel.StudyID // "" of the service
	Study  string
	Proxy  string // whose address stands for everybody's; "" = none was met
	Events []eventLine
	All    int // how many there are; more than Events holds in a long log
	End    string
	Faults []string // where it does not fit together
	File   string   // address of the log as a file
}

type eventLine struct {
	Number                  int
	When, Who, What, Detail string
}

var logScreen = site.DeskScreen[eventLog]("desk/log")

// logPath is the log of the service: what belongs to no study.
const logPath = "/log"

// maxServiceLog is how many entries of the service's log are shown, the newest.
const maxServiceLog = 500

// serviceLog shows who signed in, who tried to, and what else happened to the service.
func (s *handlers) serviceLog(c *gin.Context) error {
	found, err := s.Panel.Log(c.Request.Context(), site.SessionOf(c), "")
	if err != nil {
		return err
	}
	page := logPage(site.TongueOf(c), s.DeskFrame(c, "The service’s log", nil), found, time.Local)
	page.Proxy, page.File = s.UnlistedProxy(), logPath+"/log.txt"
	slices.Reverse(page.Events)
	page.Events = page.Events[:min(len(page.Events), maxServiceLog)]
	return site.Show(s.Site, c, http.StatusOK, logScreen, page)
}

func (s *handlers) studyLog(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	found, err := s.Panel.Log(c.Request.Context(), site.SessionOf(c), stored.ID)
	if err != nil {
		return err
	}
	page := logPage(site.TongueOf(c), s.DeskFrame(c, "Log", stored.Spec), found, stored.Zone())
	page.ID, page.Study, page.File = stored.ID, summary.Title(site.TongueOf(c), stored),
		"/studies/"+string(stored.ID)+"/log.txt"
	return site.Show(s.Site, c, http.StatusOK, logScreen, page)
}

func logPage(w site.Tongue, frame site.Frame, found panel.CheckedLog, zone *time.Location) eventLog {
	page := eventLog{Frame: frame, All: len(found.Entries)}
	for _, x := range found.Faults {
		page.Faults = append(page.Faults, w.Tell(x))
	}
	if page.All > 0 {
		page.End = found.End.String()
	}
	for _, e := range found.Entries {
		page.Events = append(page.Events, eventLine{e.Number, w.Moment(e.At.In(zone)), actorWords(w, e.Who),
			e.What, e.Detail})
	}
	return page
}

// actorWords say in a language who did something, by a role and perhaps a number or a name.
func actorWords(w site.Tongue, who string) string {
	if w.Translates(who) {
		return w.Translate(who)
	}
	role, label, _ := strings.Cut(who, " ")
	if label == "" {
		return w.Translate(role)
	}
	return w.Translate(role) + " " + label
}

// studyLogFile gives the log of a study to keep.
func (s *handlers) studyLogFile(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	found, err := s.Panel.Log(c.Request.Context(), site.SessionOf(c), stored.ID)
	if err != nil {
		return err
	}
	return download(c, stored, "text/plain; charset=utf-8", "log.txt", bytes.NewBufferString(found.Text()))
}

// serviceLogFile gives the log of the service to keep.
func (s *handlers) serviceLogFile(c *gin.Context) error {
	found, err := s.Panel.Log(c.Request.Context(), site.SessionOf(c), "")
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="cloche-log.txt"`)
	site.WritePage(c, http.StatusOK, "text/plain; charset=utf-8", []byte(found.Text()))
	return nil
}
