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
	Sittings    sittingList
	NextSitting int // number of the sitting that can be opened next; 0 = none
	Offline     string
	Screen      string // address of the board for a television
}

// sittingList is how people join the sittings of a study.
type sittingList struct {
	ID      string
	Planned int // sittings in the plan
	Opened  int
	Lines   []sittingLine
	Local   bool // the join links lead to this computer alone
}

// CanPrepare reports whether a sitting is planned that has no links yet.
func (l sittingList) CanPrepare() bool { return len(l.Lines) < l.Planned }

// sittingLine is a sitting with the link that joins it.
type sittingLine struct {
	Number         int
	Link, OpenedAt string // OpenedAt "" while it is prepared
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
	if c.Request.PostFormValue("number") == strconv.Itoa(openedOf(sittings)+1) {
		_, err = s.svc.OpenSitting(ctx, id)
	}
	if err != nil && !errors.Is(err, panel.ErrWrongState) {
		return err
	}
	return seeOther(c, "/studies/"+id)
}

// prepare makes the links of the sittings to come, so that they can be printed.
func (s *server) prepare(c *gin.Context) error {
	id := c.Param("id")
	if err := s.svc.Prepare(c.Request.Context(), who(c), id); err != nil {
		return err
	}
	return seeOther(c, "/studies/"+id)
}

// openedOf counts the sittings that were opened.
func openedOf(all []panel.Sitting) (n int) {
	for _, x := range all {
		if !x.OpenedAt.IsZero() {
			n++
		}
	}
	return n
}

// sittingList lists the sittings of a study, those that are prepared too.
func (s *server) sittingList(c *gin.Context, kept panel.Study) (sittingList, error) {
	all, err := s.svc.Sittings(c.Request.Context(), kept.ID)
	l := sittingList{ID: kept.ID, Planned: kept.Asked.Panel.Sittings, Opened: openedOf(all), Local: isLocal(s.base(c.Request))}
	for _, x := range all {
		if err == nil {
			var line sittingLine
			line, err = s.sittingLine(c, x)
			l.Lines = append(l.Lines, line)
		}
	}
	return l, err
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
		Board: newBoard(live),
	}
	screen, err := s.screenPath(c, kept.ID)
	if err != nil {
		return err
	}
	page.Screen = s.base(c.Request) + screen
	if page.Sittings, err = s.sittingList(c, kept); err != nil {
		return err
	}
	page.Offline = withoutNetwork(strings.HasPrefix(s.base(c.Request), "https://"), page.Sittings.Local)
	if page.Sittings.Opened < page.Sittings.Planned {
		page.NextSitting = page.Sittings.Opened + 1
	}
	return show(s, c, http.StatusOK, openScreen, page)
}

func (s *server) sittingLine(c *gin.Context, x panel.Sitting) (sittingLine, error) {
	link := s.base(c.Request) + "/join/" + x.Join
	code, err := newQR(link)
	line := sittingLine{Number: x.Number, Link: link, QR: code, Word: s.svc.EveningWord(x.ID), AskWord: x.AskWord}
	if !x.OpenedAt.IsZero() {
		line.OpenedAt = when(x.OpenedAt)
	}
	return line, err
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
	kept, x, err := s.sittingOf(c)
	if err != nil {
		return err
	}
	line, err := s.sittingLine(c, x)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, cardScreen, card{
		frame: s.deskFrame(c, "Card for the table", kept.Asked.Invented), Link: line.Link, QR: line.QR, Word: line.Word, Asked: line.AskWord,
	})
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
