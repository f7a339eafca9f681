package server

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// studyList is the lead's list of studies.
type studyList struct {
	frame
	Groups []studyGroup
}

// studyGroup is the studies of one state.
type studyGroup struct {
	Heading, Meaning string
	Studies          []studyLink
}

type studyLink struct {
	ID, Title, When string
	Invented        bool
}

var studiesScreen = screen[studyList]{"studies", desk}

// leadFrame is the frame of a lead's page.
func leadFrame(title string, invented bool) frame {
	return frame{Title: title, Invented: invented, SignedIn: true}
}

// when writes a time for people, in the time zone of the service.
func when(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04") }

func (s *server) studies(c *gin.Context) error {
	all, err := s.svc.Studies(c.Request.Context())
	if err != nil {
		return err
	}
	page := studyList{frame: s.deskFrame(c, "Studies", false)}
	for _, g := range []struct {
		state            panel.State
		heading, meaning string
	}{
		{panel.Open, "Open", "People can taste now."},
		{panel.Locked, "Locked", "Fixed, and ready to open."},
		{panel.Draft, "Drafts", "Nothing is fixed yet."},
		{panel.Closed, "Closed", "Done: read what was found."},
	} {
		group := studyGroup{Heading: g.heading, Meaning: g.meaning}
		for _, x := range all {
			if x.State == g.state {
				group.Studies = append(group.Studies, studyLink{x.ID, titleOf(x), moment(x), x.Asked.Invented})
			}
		}
		if len(group.Studies) > 0 {
			page.Groups = append(page.Groups, group)
		}
	}
	return show(s, c, http.StatusOK, studiesScreen, page)
}

// moment says when a study came into its state.
func moment(x panel.Study) string {
	switch x.State {
	case panel.Closed:
		return "closed " + when(x.ClosedAt)
	case panel.Locked, panel.Open:
		return "locked " + when(x.Lock.At)
	case panel.Draft:
	}
	return "begun " + when(x.Created)
}
