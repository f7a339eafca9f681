package phones

import (
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

// onBallot is what the screens of a ballot are rendered from: what the assessor
// may know now, and the address under which its forms and links stand.
type onBallot struct {
	site.Frame
	Ballot panel.Ballot
	At     string
	Told   *told // what was found; nil unless it is told
}

// Until is until when the assessor can take the answers out, in words; "" while
// the study is open.
func (p onBallot) Until() string {
	if p.Ballot.WithdrawUntil.IsZero() {
		return ""
	}
	return words.In(p.Language()).Moment(p.Ballot.WithdrawUntil)
}

// EndsAt is until when answers count, for reading; "" while nobody has said.
func (p onBallot) EndsAt() string {
	if !p.Ballot.Closing() {
		return ""
	}
	return p.Ballot.Ends.Format("15:04")
}

// onServing is the turn in front of the assessor, with what is wrong with the answers that came back.
type onServing struct {
	onBallot
	Submission string // id that makes a form that is sent twice count once
	Changing   bool   // answers that were sent before
	Wrong      []panel.Ask
}

// onOver is the end of a ballot, of whatever kind.
type onOver struct {
	onBallot
	Heading, Text string
}

// onRinse is the pause before the next serving.
type onRinse struct {
	onBallot
	Seconds int    // whole seconds left, rounded up
	To      string // what comes after
}

var (
	instructionsScreen = site.PhoneScreen[onBallot]("phones/instructions")
	servingScreen      = site.PhoneScreen[onServing]("phones/serving")
	rinseScreen        = site.PhoneScreen[onRinse]("phones/rinse")
	thanksScreen       = site.PhoneScreen[onBallot]("phones/thanks")
	overScreen         = site.PhoneScreen[onOver]("phones/over")
	lateScreen         = site.PhoneScreen[onBallot]("phones/late")
	withdrawScreen     = site.PhoneScreen[onBallot]("phones/withdraw")
	stopScreen         = site.PhoneScreen[onBallot]("phones/stop")
)

func (s *handlers) ballot(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	page := ballotPage(c, b, token)
	if page.Told, err = s.tell(c.Request.Context(), b, token); err != nil {
		return err
	}
	return s.showBallot(c, http.StatusOK, page)
}

// ballotPage is the page of an assessor's ballot.
func ballotPage(c *gin.Context, b panel.Ballot, token panel.SeatToken) onBallot {
	return onBallot{Frame: site.BallotFrame(c, b), Ballot: b, At: "/t/" + string(token)}
}

// onward is where a ballot goes on by itself: the same address shows what is next,
// but in a rehearsal.
func (p onBallot) onward() string {
	if p.Rehearsal != nil {
		return p.Rehearsal.After
	}
	return p.At
}

// showBallot shows the screen of a ballot's stage.
func (s *handlers) showBallot(c *gin.Context, status int, page onBallot) error {
	switch b := page.Ballot; b.Stage {
	case panel.StageScreening:
		return s.showScreening(c, status, page)
	case panel.StageInstructions:
		return site.Show(s.Site, c, status, instructionsScreen, page)
	case panel.StageServing, panel.StageNames:
		return s.showServing(c, status, page, false)
	case panel.StageLast:
		return s.showLast(c, status, page)
	case panel.StagePlate:
		return s.showGate(c, status, page)
	case panel.StageRinse:
		return site.Show(s.Site, c, status, rinseScreen,
			onRinse{page, int(math.Ceil(b.Rinse.Seconds())), page.onward()})
	case panel.StageDone:
		return site.Show(s.Site, c, status, thanksScreen, page)
	default:
		heading, text := ending(words.In(page.Language()), b)
		return site.Show(s.Site, c, status, overScreen, onOver{page, heading, text})
	}
}

// ending says how a ballot ended that was not gone through.
func ending(w words.Words, b panel.Ballot) (heading, text string) {
	switch b.Stage {
	case panel.StageWithdrawn:
		return w.Withdrawn, w.WithdrawnText
	case panel.StageLeft:
		if b.LeftSelf {
			return w.Stopped, w.StoppedText
		}
		return w.Left, w.LeftText
	case panel.StageLater:
		return w.Later, w.LaterText
	}
	return w.Over, w.OverEarly
}

// showServing shows the form of a turn under a fresh submission id.
func (s *handlers) showServing(c *gin.Context, status int, page onBallot, changing bool) error {
	id, err := s.Panel.Nonce()
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, status, servingScreen, servingPage(page, id, changing))
}

func servingPage(page onBallot, id string, changing bool) onServing {
	x := onServing{onBallot: page, Submission: id, Changing: changing, Wrong: site.WrongAnswers(page.Ballot.Turn)}
	if len(x.Wrong) > 0 {
		x.Title = words.In(page.Language()).WrongTitle
	}
	return x
}

func (s *handlers) start(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	if err := s.Panel.Start(c.Request.Context(), token); err != nil {
		return err
	}
	return site.SeeOther(c, "/t/"+string(token))
}

// backToBallot leads from the address of a form back to the ballot.
func backToBallot(c *gin.Context) error { return site.SeeOther(c, "/t/"+c.Param("token")) }
