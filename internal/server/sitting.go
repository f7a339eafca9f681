package server

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// openPage is a study that people can taste in: counts, never ratings.
type openPage struct {
	frame
	Keep        keeping
	Study       summary
	Lock        lockWords
	Board       board
	Sittings    []sittingLine
	Planned     int // sittings in the plan
	NextSitting int // number of the sitting that can be opened next; 0 = none
	Offline     string
	Local       bool   // the join links lead to this computer alone
	Screen      string // address of the board for a television
}

// sittingLine is a sitting with the link that joins it.
type sittingLine struct {
	Number         int
	Link, OpenedAt string
	QR             qrCode
	Word           string // of the evening
	AskWord        bool   // everybody is asked for it
}

// closePage asks once more before a study is closed.
type closePage struct {
	frame
	ID, Study                      string
	Joined, Finished, Places, Free int
	Out                            panel.StillOut
	Rule                           string // when tasting is planned to end
}

// card is for the table: guests read it, so it says nothing of the study.
type card struct {
	frame
	Link  string
	Word  string // of the evening
	Asked bool   // of everybody who joins
	QR    qrCode
}

var (
	openScreen  = screen[openPage]{"open", desk}
	closeScreen = screen[closePage]{"close", desk}
	cardScreen  = screen[card]{"card", desk}
)

// openSitting opens a sitting. The form says which, so that a double tap does
// not open two.
func (s *server) openSitting(c *gin.Context) error {
	ctx, id := c.Request.Context(), c.Param("id")
	sittings, err := s.svc.Sittings(ctx, id)
	if err != nil {
		return err
	}
	if c.Request.PostFormValue("number") == strconv.Itoa(len(sittings)+1) {
		_, err = s.svc.OpenSitting(ctx, id)
	}
	if err != nil && !errors.Is(err, panel.ErrWrongState) {
		return err
	}
	return seeOther(c, "/studies/"+id)
}

func (s *server) showOpen(c *gin.Context, kept panel.Study, keep keeping) error {
	ctx := c.Request.Context()
	live, err := s.svc.Live(ctx, who(c), kept.ID)
	if err != nil {
		return err
	}
	plan, err := kept.FixedPlan()
	if err != nil {
		return err
	}
	page := openPage{
		frame: s.deskFrame(c, kept.Asked.Title, kept.Asked.Invented), Study: summarise(kept, plan), Lock: lockOf(kept), Keep: keep,
		Board: newBoard(live), Planned: kept.Asked.Panel.Sittings, Local: isLocal(s.base(c.Request)),
	}
	screen, err := s.screenPath(c, kept.ID)
	if err != nil {
		return err
	}
	page.Screen = s.base(c.Request) + screen
	page.Offline = withoutNetwork(strings.HasPrefix(s.base(c.Request), "https://"), page.Local)
	sittings, err := s.svc.Sittings(ctx, kept.ID)
	if err != nil {
		return err
	}
	for _, x := range sittings {
		line, err := s.sittingLine(c, x)
		if err != nil {
			return err
		}
		page.Sittings = append(page.Sittings, line)
	}
	if len(sittings) < page.Planned {
		page.NextSitting = len(sittings) + 1
	}
	return show(s, c, http.StatusOK, openScreen, page)
}

func (s *server) sittingLine(c *gin.Context, x panel.Sitting) (sittingLine, error) {
	link := s.base(c.Request) + "/join/" + x.Join
	code, err := newQR(link)
	return sittingLine{Number: x.Number, Link: link, OpenedAt: when(x.OpenedAt), QR: code, Word: s.svc.EveningWord(x.ID), AskWord: x.AskWord}, err
}

// isLocal reports whether an address means the computer itself.
func isLocal(base string) bool {
	u, err := url.Parse(base)
	if err != nil {
		return false
	}
	switch u.Hostname() {
	case "localhost", "127.0.0.1", "::1":
		return true
	}
	return false
}

func (s *server) card(c *gin.Context) error {
	ctx := c.Request.Context()
	kept, err := s.svc.Study(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	sittings, err := s.svc.Sittings(ctx, kept.ID)
	if err != nil {
		return err
	}
	for _, x := range sittings {
		if strconv.Itoa(x.Number) != c.Param("number") {
			continue
		}
		line, err := s.sittingLine(c, x)
		if err != nil {
			return err
		}
		return show(s, c, http.StatusOK, cardScreen, card{
			frame: s.deskFrame(c, "Card for the table", kept.Asked.Invented), Link: line.Link, QR: line.QR, Word: line.Word, Asked: line.AskWord,
		})
	}
	return panel.ErrNotFound
}

// askForWord takes whether everybody who joins a sitting says the word of the evening.
func (s *server) askForWord(c *gin.Context) error {
	kept, sitting, err := s.sittingOf(c)
	if err != nil {
		return err
	}
	if err := s.svc.AskWord(c.Request.Context(), who(c), sitting.ID, c.Request.PostFormValue("ask") == "yes"); err != nil {
		return err
	}
	return seeOther(c, "/studies/"+kept.ID)
}

func (s *server) closeForm(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	live, err := s.svc.Live(c.Request.Context(), who(c), kept.ID)
	if err != nil {
		return err
	}
	if kept.State != panel.Open {
		return seeOther(c, "/studies/"+kept.ID)
	}
	return show(s, c, http.StatusOK, closeScreen, closePage{
		frame: s.deskFrame(c, "Close", kept.Asked.Invented), ID: kept.ID, Study: kept.Asked.Title,
		Joined: live.All.Joined(), Finished: live.All.Finished,
		Places: live.All.Places, Free: live.All.Free, Out: live.Out, Rule: analysis.StoppingRule(kept.Asked),
	})
}

// close closes a study when the lead has confirmed it.
func (s *server) close(c *gin.Context) error {
	id := c.Param("id")
	if c.Request.PostFormValue("confirm") != "yes" {
		return seeOther(c, "/studies/"+id+"/close")
	}
	err := s.svc.Close(c.Request.Context(), id)
	if err != nil && !errors.Is(err, panel.ErrWrongState) { // closed already: a double tap
		return err
	}
	return seeOther(c, "/studies/"+id)
}
