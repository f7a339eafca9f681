package desk

import (
	"bytes"
	"errors"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
)

// sharing is how the report of a study is shared, for the lead.
type sharing struct {
	Link  string // "" when it is not
	Ends  string
	Days  int // offered
	Most  int
	Local bool // the link works on this computer alone
}

// sharingOf is how a report is shared; nothing for who may not share it.
func (s *handlers) sharingOf(c *gin.Context, stored panel.Study) (*sharing, error) {
	if !panel.MayDo(site.SessionOf(c).Role, panel.ActShare, panel.Closed) {
		return nil, nil
	}
	shared, err := s.Panel.SharedLink(c.Request.Context(), site.SessionOf(c), stored.ID)
	if err != nil {
		return nil, err
	}
	x := &sharing{Days: panel.ShareDays, Most: panel.MaxShareDays, Local: site.IsLocal(s.BaseURL(c.Request))}
	if shared.Token != "" {
		x.Link = s.BaseURL(c.Request) + "/report/" + string(stored.ID) + "/" + string(shared.Token)
		x.Ends = site.TongueOf(c).Moment(shared.Ends.In(stored.Zone()))
	}
	return x, nil
}

// share makes the link of a report.
func (s *handlers) share(c *gin.Context) error {
	id := site.StudyIn(c)
	days := panel.ShareDays
	if given, err := strconv.Atoi(c.Request.PostFormValue("days")); err == nil {
		days = max(1, min(panel.MaxShareDays, given)) // the form offers no others
	}
	if err := s.Panel.ShareReport(c.Request.Context(), site.SessionOf(c), id, days); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id)+"#share")
}

// endSharing takes it back.
func (s *handlers) endSharing(c *gin.Context) error {
	id := site.StudyIn(c)
	if err := s.Panel.EndSharing(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id)+"#share")
}

// sharedReport is the report to whoever has its link: one page that needs nothing else,
// so that it can be kept as it is.
func (s *handlers) sharedReport(c *gin.Context) error {
	stored, found, err := s.Panel.SharedFindings(c.Request.Context(), site.StudyIn(c),
		panel.SharedToken(c.Param("token")))
	if errors.Is(err, panel.ErrNotFound) {
		return site.ErrNotShared
	}
	if err != nil {
		return err
	}
	beside, err := reportOptions(c.Request.Context(), s.Panel, stored, found)
	if err != nil {
		return err
	}
	var page bytes.Buffer
	if err := report.WriteHTML(&page, report.Build(stored.Spec, found, beside)); err != nil {
		return err
	}
	c.Header("Content-Security-Policy", report.FilePolicy(page.Bytes()))
	c.Header("Referrer-Policy", "no-referrer")
	site.WritePage(c, http.StatusOK, "text/html; charset=utf-8", page.Bytes())
	return nil
}
