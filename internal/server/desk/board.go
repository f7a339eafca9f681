package desk

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// board is the live board: counts, nothing by sample.
type board struct {
	Counts        panel.Tally
	Joined        string // where everybody stands who has joined, in words
	Declined      int
	Rings         []ring
	Width, Height int
	Lines         []boardLine
	Out           panel.StillOut
	Strata        []panel.LiveStratum
	Decision      panel.Decision
	Looks         *panel.LiveLooks // of a plan with looks
	panel.Ending
	tongue site.Tongue
}

// boardLine is one sitting on the board.
type boardLine struct {
	Number, Imbalance, NotSetDown int
	Joined                        string // in words; "" when the board says the same
	Pace, End, Events             string // "" when there is none
	Waves                         panel.Waves
	Waiting                       []boardWait
	More                          int // who wait beside those listed
}

// boardWait is one seat that waits for a plate.
type boardWait struct {
	Label      int
	Seat, Long string
	Late       bool
}

// maxWaits is how many waiting seats the board lists: those who wait longest.
const maxWaits = 8

// ring is one place at the table in the picture above the counts. It stands
// for a count, not for a person: rings are filled from the left.
type ring struct {
	Class     string // finished, tasting, joined, gone or free
	X, Y, Top int
	Half      bool
}

const (
	ringStep   = 24 // from the middle of a ring to the next
	ringsInRow = 20
	maxRings   = 300 // beyond that the picture says less than the numbers
)

func newBoard(w site.Tongue, live panel.Live) board {
	b := board{tongue: w, Counts: live.All, Joined: site.JoinedWords(w, live.All), Declined: live.Declined,
		Rings: rings(live.All),
		Out:   live.Out, Ending: live.Ending,
		Strata: live.Strata, Decision: live.Decision, Looks: live.Looks}
	for _, x := range live.Sittings {
		line := newBoardLine(w, x)
		if len(live.Sittings) > 1 {
			line.Joined = site.JoinedWords(w, x.Tally)
		}
		b.Lines = append(b.Lines, line)
	}
	b.Width = ringsInRow * ringStep
	b.Height = (len(b.Rings) + ringsInRow - 1) / ringsInRow * ringStep
	return b
}

// rings draws one ring for each place, nothing when there are too many.
func rings(l panel.Tally) []ring {
	if l.Places > maxRings {
		return nil
	}
	var all []ring
	draw := func(n int, class string) {
		for range n {
			i := len(all)
			r := ring{Class: class, X: ringStep/2 + i%ringsInRow*ringStep, Y: ringStep/2 + i/ringsInRow*ringStep}
			r.Half, r.Top = class == "tasting", r.Y-8
			all = append(all, r)
		}
	}
	draw(l.Finished, "finished")
	draw(l.Tasting, "tasting")
	draw(l.Joined()-l.Finished-l.Tasting-l.Gone(), "joined")
	draw(l.Places-len(all)-l.Free, "gone") // whose place nobody else can take
	draw(l.Free, "free")
	return all
}

func newBoardLine(w site.Tongue, x panel.LiveSitting) boardLine {
	l := boardLine{
		Number: x.Number, Waves: x.Waves, Imbalance: x.Imbalance, NotSetDown: x.NotSetDown, Events: eventWords(w, x),
		More: max(len(x.Longest)-maxWaits, 0),
	}
	if x.Pace > 0 {
		l.Pace = strconv.FormatFloat(x.Pace, 'f', 1, 64)
	}
	if !x.End.IsZero() {
		l.End = x.End.Format("15:04")
	}
	for _, seat := range x.Longest[:min(len(x.Longest), maxWaits)] {
		l.Waiting = append(l.Waiting, boardWait{seat.Label, seat.Seat, site.Minutes(w, seat.Waiting),
			seat.Waiting >= site.LongWait})
	}
	return l
}

// eventWords tells what went otherwise than planned at a sitting, and nothing of what did not happen.
func eventWords(w site.Tongue, x panel.LiveSitting) string {
	var said []string
	if x.Refused > 0 {
		said = append(said, w.Translate("servings refused: %d", x.Refused))
	}
	if x.Dropped > 0 {
		said = append(said, w.Translate("plates dropped: %d", x.Dropped))
	}
	if x.Incidents > 0 {
		said = append(said, w.Translate("incidents: %d", x.Incidents))
	}
	if x.Revealed > 0 {
		said = append(said, w.Translate("plates shown in an emergency: %d", x.Revealed))
	}
	return strings.Join(said, " · ")
}

// liveBoard counts a study that is open; [panel.ErrWrongState] in any other state.
func (s *handlers) liveBoard(ctx context.Context, w site.Tongue, by panel.Session, id panel.StudyID) (board, error) {
	stored, err := s.Panel.Study(ctx, id)
	if err != nil {
		return board{}, err
	}
	if stored.State != panel.Open {
		return board{}, panel.ErrWrongState
	}
	live, err := s.Panel.Live(ctx, by, stored.ID)
	return newBoard(w, live), err
}

// boardSince gives a rendered board as it was at since or later.
type boardSince func(ctx context.Context, since time.Time) ([]byte, error)

// sharedBoard is a board that is made once for all who watch it. key says who they
// are: they see the same,
// each in a language.
func (s *handlers) sharedBoard(w site.Tongue, key string, look func(context.Context) (board, error)) boardSince {
	return func(ctx context.Context, since time.Time) ([]byte, error) {
		return s.Shared.Of(ctx, "board "+w.Tag()+" "+key, since, func(ctx context.Context) ([]byte, error) {
			b, err := look(ctx)
			if err != nil {
				return nil, err
			}
			return s.Part(openScreen.Name, w.Tag(), "board", b)
		})
	}
}

// deskBoard is the board of lead or partner.
func (s *handlers) deskBoard(c *gin.Context) boardSince {
	by, id, w := site.SessionOf(c), c.Param("id"), site.TongueOf(c)
	return s.sharedBoard(w, by.Role.String()+" "+id, func(ctx context.Context) (board, error) {
		return s.liveBoard(ctx, w, by, panel.StudyID(id))
	})
}

// board gives the board alone, for pages whose stream is cut. Once the study is
// closed it answers with a conflict, at which the page loads anew.
func (s *handlers) board(c *gin.Context) error { return s.sendBoard(c, s.deskBoard(c)) }

// boardEvents streams the board.
func (s *handlers) boardEvents(c *gin.Context) error {
	return s.streamBoard(c, site.Readers, s.deskBoard(c))
}

func (s *handlers) sendBoard(c *gin.Context, at boardSince) error {
	part, err := at(c.Request.Context(), time.Now().Add(-site.SharedEvery))
	if err != nil {
		return err
	}
	site.WritePage(c, http.StatusOK, "text/html; charset=utf-8", part)
	return nil
}

// streamBoard streams a board until the study is no longer open.
func (s *handlers) streamBoard(c *gin.Context, r site.Role, at boardSince) error {
	ctx := c.Request.Context()
	if _, err := at(ctx, time.Now().Add(-site.SharedEvery)); err != nil {
		return err
	}
	return s.Stream(c, r, site.StudyIn(c), func() ([]byte, error) {
		// Whoever is told of the same change gets the same board.
		part, err := at(ctx, time.Now().Add(-site.StreamRest))
		if errors.Is(err, panel.ErrWrongState) {
			return nil, site.ErrOver
		}
		return part, err
	})
}

// television is the board alone, to be read across a room. Guests may see it: it
// says nothing of the study. Its link opens nothing else and needs no signing in.
type television struct {
	site.Frame
	At    string // address under which its parts stand
	Board board
}

var televisionScreen = site.StaffScreen[television]("desk/television")

// screenPath is the address of a television's board.
func (s *handlers) screenPath(c *gin.Context, studyID panel.StudyID) (string, error) {
	link, err := s.Panel.TelevisionLink(site.SessionOf(c), studyID)
	return "/screen/" + string(studyID) + "/" + string(link), err
}

// toScreen leads who is signed in to the board that a television shows.
func (s *handlers) toScreen(c *gin.Context) error {
	if _, err := s.liveBoard(c.Request.Context(), site.TongueOf(c), site.SessionOf(c), site.StudyIn(c)); err != nil {
		return err
	}
	path, err := s.screenPath(c, site.StudyIn(c))
	if err != nil {
		return err
	}
	return site.SeeOther(c, path)
}

func (s *handlers) screenBoard(ctx context.Context, w site.Tongue, id panel.StudyID, token panel.TelevisionToken,
) (board, error) {
	live, err := s.Panel.Television(ctx, id, token)
	return newBoard(w, live), err
}

// screenPart is a television's board.
func (s *handlers) screenPart(c *gin.Context) boardSince {
	id, token, w := c.Param("id"), c.Param("token"), site.TongueOf(c)
	return s.sharedBoard(w, "television "+id+" "+token, func(ctx context.Context) (board, error) {
		return s.screenBoard(ctx, w, panel.StudyID(id), panel.TelevisionToken(token))
	})
}

func (s *handlers) television(c *gin.Context) error {
	b, err := s.screenBoard(c.Request.Context(), site.TongueOf(c), site.StudyIn(c),
		panel.TelevisionToken(c.Param("token")))
	if err != nil {
		return err
	}
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	frame := site.DoorFrame(c, "Board")
	frame.Invented = stored.Spec.Invented
	return site.Show(s.Site, c, http.StatusOK, televisionScreen, television{frame,
		"/screen/" + string(stored.ID) + "/" + c.Param("token"), b})
}

// televisionBoard gives a television's board alone.
func (s *handlers) televisionBoard(c *gin.Context) error { return s.sendBoard(c, s.screenPart(c)) }

// televisionEvents streams a television's board.
func (s *handlers) televisionEvents(c *gin.Context) error {
	return s.streamBoard(c, site.Anyone, s.screenPart(c))
}
