package server

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// board is the live board: counts, nothing by sample.
type board struct {
	Places, Joined, Waiting, Tasting, Finished, Declined, Servings, Expected int
	Rings                                                                    []ring
	Width, Height                                                            int
}

// ring is one place at the table in the picture above the counts. It stands
// for a count, not for a person: rings are filled from the left.
type ring struct {
	Class     string // finished, tasting, joined or free
	X, Y, Top int
	Half      bool
}

const (
	ringStep   = 24 // from the middle of a ring to the next
	ringsInRow = 20
	maxRings   = 300 // beyond that the picture says less than the numbers
)

func newBoard(p panel.Progress) board {
	b := board{
		Places: p.Places, Joined: p.Joined, Waiting: p.Joined - p.Tasting - p.Finished,
		Tasting: p.Tasting, Finished: p.Finished, Declined: p.Declined,
		Servings: p.Servings, Expected: p.Expected,
	}
	if p.Places > maxRings {
		return b
	}
	for i := range p.Places {
		r := ring{Class: "free", X: ringStep/2 + i%ringsInRow*ringStep, Y: ringStep/2 + i/ringsInRow*ringStep}
		switch {
		case i < p.Finished:
			r.Class = "finished"
		case i < p.Finished+p.Tasting:
			r.Class, r.Half, r.Top = "tasting", true, r.Y-8
		case i < p.Joined:
			r.Class = "joined"
		}
		b.Rings = append(b.Rings, r)
	}
	b.Width = ringsInRow * ringStep
	b.Height = (p.Places + ringsInRow - 1) / ringsInRow * ringStep
	return b
}

// board gives the board alone, for the script that keeps it fresh. Once the
// study is closed it answers with a conflict, at which the page loads anew.
func (s *server) board(c *gin.Context) error {
	kept, p, err := s.svc.Board(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	if kept.State != panel.Open {
		return panel.ErrWrongState
	}
	return s.render(c, http.StatusOK, pageKey(openScreen.name, "en"), "board", newBoard(p))
}
