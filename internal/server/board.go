package server

import (
	"errors"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
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
}

// boardLine is one sitting on the board.
type boardLine struct {
	Number, Refused, Dropped, Revealed, Imbalance int
	Joined                                        string // in words; "" when the board says the same
	Pace, End                                     string // "" when there is none
	Waiting                                       []boardWait
	More                                          int // who wait beside those listed
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

func newBoard(live panel.Live) board {
	b := board{Counts: live.All, Joined: joinedWords(live.All), Declined: live.Declined, Rings: rings(live.All), Out: live.Out}
	for _, x := range live.Sittings {
		line := newBoardLine(x)
		if len(live.Sittings) > 1 {
			line.Joined = joinedWords(x.Tally)
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
	draw(l.Gone(), "gone")
	draw(l.Free, "free")
	return all
}

func newBoardLine(x panel.LiveSitting) boardLine {
	l := boardLine{
		Number: x.Number, Refused: x.Refused, Dropped: x.Dropped, Revealed: x.Revealed,
		Imbalance: x.Imbalance, More: max(len(x.Longest)-maxWaits, 0),
	}
	if x.Pace > 0 {
		l.Pace = strconv.FormatFloat(x.Pace, 'f', 1, 64)
	}
	if !x.End.IsZero() {
		l.End = x.End.Local().Format("15:04")
	}
	for _, w := range x.Longest[:min(len(x.Longest), maxWaits)] {
		l.Waiting = append(l.Waiting, boardWait{w.Label, w.Seat, minutes(w.Waiting), w.Waiting >= longWait})
	}
	return l
}

// liveBoard counts a study that is open; [panel.ErrWrongState] in any other state.
func (s *server) liveBoard(c *gin.Context) (panel.Study, board, error) {
	ctx := c.Request.Context()
	kept, err := s.svc.Study(ctx, c.Param("id"))
	if err != nil {
		return panel.Study{}, board{}, err
	}
	if kept.State != panel.Open {
		return panel.Study{}, board{}, panel.ErrWrongState
	}
	live, err := s.svc.Live(ctx, who(c), kept.ID)
	return kept, newBoard(live), err
}

// board gives the board alone, for pages whose stream is cut. Once the study is
// closed it answers with a conflict, at which the page loads anew.
func (s *server) board(c *gin.Context) error {
	_, b, err := s.liveBoard(c)
	if err != nil {
		return err
	}
	return s.sendBoard(c, b)
}

func (s *server) sendBoard(c *gin.Context, b board) error {
	part, err := s.part(openScreen.name, "board", b)
	if err != nil {
		return err
	}
	writePage(c, http.StatusOK, "text/html; charset=utf-8", part)
	return nil
}

// boardParts renders a board for a stream, until the study is no longer open.
func (s *server) boardParts(look func() (board, error)) func() ([]byte, error) {
	return func() ([]byte, error) {
		b, err := look()
		if errors.Is(err, panel.ErrWrongState) {
			return nil, errOver
		}
		if err != nil {
			return nil, err
		}
		return s.part(openScreen.name, "board", b)
	}
}

// boardEvents streams the board.
func (s *server) boardEvents(c *gin.Context) error {
	if _, _, err := s.liveBoard(c); err != nil {
		return err
	}
	return s.stream(c, atDesk, c.Param("id"), s.boardParts(func() (board, error) {
		_, b, err := s.liveBoard(c)
		return b, err
	}))
}

// television is the board alone, to be read across a room. Guests may see it: it
// says nothing of the study. Its link opens nothing else and needs no signing in.
type television struct {
	frame
	At    string // address under which its parts stand
	Board board
}

var televisionScreen = screen[television]{"television", staff}

// screenPath is the address of a television's board.
func (s *server) screenPath(c *gin.Context, studyID string) (string, error) {
	link, err := s.svc.TelevisionLink(who(c), studyID)
	return "/screen/" + studyID + "/" + link, err
}

// toScreen leads who is signed in to the board that a television shows.
func (s *server) toScreen(c *gin.Context) error {
	if _, _, err := s.liveBoard(c); err != nil {
		return err
	}
	path, err := s.screenPath(c, c.Param("id"))
	if err != nil {
		return err
	}
	return seeOther(c, path)
}

func (s *server) screenBoard(c *gin.Context) (board, error) {
	live, err := s.svc.Television(c.Request.Context(), c.Param("id"), c.Param("token"))
	return newBoard(live), err
}

func (s *server) television(c *gin.Context) error {
	b, err := s.screenBoard(c)
	if err != nil {
		return err
	}
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, televisionScreen, television{frame{Title: "Board", Invented: kept.Asked.Invented},
		"/screen/" + kept.ID + "/" + c.Param("token"), b})
}

// televisionBoard gives a television's board alone.
func (s *server) televisionBoard(c *gin.Context) error {
	b, err := s.screenBoard(c)
	if err != nil {
		return err
	}
	return s.sendBoard(c, b)
}

// televisionEvents streams a television's board.
func (s *server) televisionEvents(c *gin.Context) error {
	if _, err := s.screenBoard(c); err != nil {
		return err
	}
	return s.stream(c, anyone, c.Param("id"), s.boardParts(func() (board, error) { return s.screenBoard(c) }))
}
