package desk

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// openPage is a study that people can taste in: counts, never ratings.
type openPage struct {
	site.Frame
	Keep        keeping
	Study       summary.Study
	Lock        lockWords
	Board       board
	Looked      []lookSeen    // planned looks in numbers, for the partner alone
	Evidence    *evidenceSeen // running evidence in numbers, for the partner alone
	Sittings    sittingList
	Paces       []pacing
	NextSitting int // number of the sitting that can be opened next; 0 = none
	Offline     string
	Screen      string // address of the board for a television
}

// sittingList is how people join the sittings of a study.
type sittingList struct {
	ID      panel.StudyID
	Planned int // sittings in the plan
	Opened  int
	Lines   []sittingLine
	Local   bool   // the join links lead to this computer alone
	Proxy   string // in front of the service and not listed; "" = none was met

	Checkups []site.Checkup // what has to be put right before guests come
}

// CanPrepare reports whether a sitting is planned that has no links yet.
func (l sittingList) CanPrepare() bool { return len(l.Lines) < l.Planned }

// sittingLine is a sitting with the link that joins it.
type sittingLine struct {
	Number         int
	Link, OpenedAt string // OpenedAt "" while it is prepared
	QR             site.QRCode
	Word           string // of the evening
	AskWord        bool   // everybody is asked for it
}

// closePage asks once more before a study is closed.
type closePage struct {
	site.Frame
	ID                             panel.StudyID
	Study                          string
	Joined, Finished, Places, Free int
	Out                            panel.StillOut
	Rule                           string // when tasting is planned to end
	Grace                          int    // minutes in which those who taste may finish; 0 = none, or they run already
	panel.Ending
}

// card is for the table: guests read it, so it says nothing of the study.
type card struct {
	site.Frame
	Link  string
	Word  string // of the evening
	Said  []cardWords
	QR    site.QRCode
	Table string            // what the staff say of guests at its table; "" = nothing
	Cards []panel.TableCard // to choose from, where the staff say something
}

var (
	openScreen  = site.DeskScreen[openPage]("desk/open")
	closeScreen = site.DeskScreen[closePage]("desk/close")
	cardScreen  = site.DeskScreen[card]("desk/card")
)

// openSitting opens a sitting. The form says which, so that a double tap does
// not open two.
func (s *handlers) openSitting(c *gin.Context) error {
	ctx, id := c.Request.Context(), c.Param("id")
	sittings, err := s.Panel.Sittings(ctx, panel.StudyID(id))
	if err != nil {
		return err
	}
	if c.Request.PostFormValue("number") == strconv.Itoa(openedOf(sittings)+1) {
		_, err = s.Panel.OpenSitting(ctx, site.SessionOf(c), panel.StudyID(id))
	}
	if err != nil && !errors.Is(err, panel.ErrWrongState) {
		return err
	}
	return site.SeeOther(c, "/studies/"+id)
}

// prepare makes the links of the sittings to come, so that they can be printed.
func (s *handlers) prepare(c *gin.Context) error {
	id := site.StudyIn(c)
	if err := s.Panel.Prepare(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	to := "/studies/" + string(id)
	if c.Request.PostFormValue("back") != "" { // from the page of all that is prepared
		to += "/prepare"
	}
	return site.SeeOther(c, to)
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
func (s *handlers) sittingList(c *gin.Context, stored panel.Study) (sittingList, error) {
	all, err := s.Panel.Sittings(c.Request.Context(), stored.ID)
	l := sittingList{ID: stored.ID, Planned: stored.Spec.Panel.Sittings, Opened: openedOf(all),
		Local: site.IsLocal(s.BaseURL(c.Request)), Proxy: s.UnlistedProxy()}
	if l.Opened < l.Planned {
		l.Checkups = slices.DeleteFunc(s.checkups(c), func(x site.Checkup) bool { return x.Todo == "" })
	}
	for _, x := range all {
		if err == nil {
			var line sittingLine
			line, err = s.sittingLine(c, stored, x)
			l.Lines = append(l.Lines, line)
		}
	}
	return l, err
}

func (s *handlers) showOpen(c *gin.Context, stored panel.Study, keep keeping) error {
	ctx := c.Request.Context()
	live, err := s.Panel.Live(ctx, site.SessionOf(c), stored.ID)
	if err != nil {
		return err
	}
	plan, err := stored.FixedPlan()
	if err != nil {
		return err
	}
	page := openPage{
		Frame: s.StudyFrame(c, stored.Spec.Title, stored.Spec), Study: summary.Of(site.TongueOf(c),
			stored, plan),
		Lock:  lockOf(site.TongueOf(c), stored),
		Keep:  keep,
		Board: newBoard(site.TongueOf(c), live), Paces: pacings(live),
	}
	if page.Evidence, err = s.evidenceNow(c, stored); err != nil {
		return err
	}
	if page.Looked, err = s.looksSeen(c, stored); err != nil {
		return err
	}
	if panel.MayDo(site.SessionOf(c).Role, panel.ActWatch, stored.State) {
		screen, err := s.screenPath(c, stored.ID)
		if err != nil {
			return err
		}
		page.Screen = s.BaseURL(c.Request) + screen
	}
	if page.Sittings, err = s.sittingList(c, stored); err != nil {
		return err
	}
	page.Offline = withoutNetwork(strings.HasPrefix(s.BaseURL(c.Request), "https://"), page.Sittings.Local)
	if page.Sittings.Opened < page.Sittings.Planned {
		page.NextSitting = page.Sittings.Opened + 1
	}
	return site.Show(s.Site, c, http.StatusOK, openScreen, page)
}

func (s *handlers) sittingLine(c *gin.Context, stored panel.Study, x panel.Sitting) (sittingLine, error) {
	link := s.BaseURL(c.Request) + "/join/" + string(x.Join)
	code, err := site.NewQR(link)
	line := sittingLine{Number: x.Number, Link: link, QR: code, Word: s.Panel.EveningWord(x.ID), AskWord: x.AskWord}
	if !x.OpenedAt.IsZero() {
		line.OpenedAt = site.TongueOf(c).Moment(x.OpenedAt.In(stored.Zone()))
	}
	return line, err
}

func (s *handlers) card(c *gin.Context) error {
	stored, x, err := s.SittingOf(c)
	if err != nil {
		return err
	}
	line, err := s.sittingLine(c, stored, x)
	if err != nil {
		return err
	}
	page := card{
		Frame: s.DeskFrame(c, "Card for the table", stored.Spec), Link: line.Link, QR: line.QR,
		Word: line.Word, Said: cardSays(stored, 0), Cards: panel.TableCards(stored.Spec),
	}
	for _, x := range page.Cards {
		if x.Query == c.Request.URL.RawQuery {
			page.Table, page.Link = x.Words, line.Link+"?"+x.Query
			if page.QR, err = site.NewQR(page.Link); err != nil {
				return err
			}
		}
	}
	return site.Show(s.Site, c, http.StatusOK, cardScreen, page)
}

// askForWord takes whether everybody who joins a sitting says the word of the evening.
func (s *handlers) askForWord(c *gin.Context) error {
	stored, sitting, err := s.SittingOf(c)
	if err != nil {
		return err
	}
	if err := s.Panel.AskWord(c.Request.Context(), site.SessionOf(c), sitting.ID,
		c.Request.PostFormValue("ask") == "yes"); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(stored.ID))
}

func (s *handlers) closeForm(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	live, err := s.Panel.Live(c.Request.Context(), site.SessionOf(c), stored.ID)
	if err != nil {
		return err
	}
	if stored.State != panel.Open {
		return site.SeeOther(c, "/studies/"+string(stored.ID))
	}
	ending, grace := stored.Ending(), 0
	if live.Out.Any() && !ending.Closing() {
		grace = int(stored.Grace().Minutes())
	}
	return site.Show(s.Site, c, http.StatusOK, closeScreen, closePage{Grace: grace, Ending: ending,
		Frame: s.DeskFrame(c, "Close", stored.Spec), ID: stored.ID, Study: stored.Spec.Title,
		Joined: live.All.Joined(), Finished: live.All.Finished,
		Places: live.All.Places, Free: live.All.Free, Out: live.Out, Rule: analysis.StoppingRuleIn(stored.Spec,
			site.TongueOf(c).Paper),
	})
}

// close closes a study when the lead has confirmed it.
func (s *handlers) close(c *gin.Context) error {
	id := site.StudyIn(c)
	if c.Request.PostFormValue("confirm") != "yes" {
		return site.SeeOther(c, "/studies/"+string(id)+"/close")
	}
	if c.Request.PostFormValue("grace") == "yes" {
		if err := s.Panel.BeginClose(c.Request.Context(), site.SessionOf(c), id); err != nil {
			return err
		}
		return site.SeeOther(c, "/studies/"+string(id))
	}
	err := s.Panel.Close(c.Request.Context(), site.SessionOf(c), id)
	if err != nil && !errors.Is(err, panel.ErrWrongState) { // closed already: a double tap
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id))
}

// lastCall announces that tasting ends soon.
func (s *handlers) lastCall(c *gin.Context) error {
	id := site.StudyIn(c)
	if err := s.Panel.LastCall(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id))
}

// withoutNetwork says to the lead what phones do when the network is away, and why.
func withoutNetwork(secure, local bool) string {
	switch {
	case secure:
		return "Without network, a ballot that was opened once goes on: the service is reached over HTTPS. A later " +
			"serving opens with the code on its plate."
	case local:
		return "Without network, a ballot that was opened once goes on, on this computer alone. Phones can do that " +
			"only over HTTPS; over plain HTTP an open page keeps answers, sends them later and waits for the network."
	}
	return "Without network, an open page keeps answers and sends them later, and the next serving waits for the " +
		"network: over plain HTTP browsers allow no more. With an address that begins with https:// ballots go on."
}
