package phones

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// Streams to guests' phones carry a few words an evening: what staff note about one
// seat. They are counted apart from those of the staff's pages, which carry lists.
const (
	maxGuestStreams = 2000
	guestBeat       = 30 * time.Second // so that a phone that is gone is noticed
)

// wireTurn is what a phone compares its page with. A page of the ballot is this one's
// when it says the same turn; its codes may have changed.
type wireTurn struct {
	Stage panel.Stage      `json:"stage"`
	Turn  panel.TurnID     `json:"turn"`
	Code  panel.PlateCodes `json:"code"`

	Notice string `json:"notice"` // of the end of the evening
}

// ballotEvents tells a guest's phone whose turn it is, whenever staff have noted
// something about its seat: a dropped plate has another code, a rinse is over.
func (s *handlers) ballotEvents(c *gin.Context) error {
	ctx, token := c.Request.Context(), c.Param("token")
	changed, stop, err := s.Panel.WatchSeat(ctx, panel.SeatToken(token))
	if errors.Is(err, panel.ErrNotFound) && s.IsTablet(c) { // taken back before its page could listen
		c.Header("Content-Type", "text/event-stream")
		event, err := turnEvent(panel.Ballot{Stage: noStage})
		_, _ = c.Writer.Write(event)
		return err
	}
	if err != nil {
		return err
	}
	defer stop()
	if s.open.Add(1) > maxGuestStreams {
		s.open.Add(-1)
		c.Header("Retry-After", "60")
		c.String(http.StatusServiceUnavailable, "too many pages are open\n")
		return nil
	}
	defer s.open.Add(-1)
	c.Header("Content-Type", "text/event-stream")
	c.Header("X-Accel-Buffering", "no") // proxies that would hold it back
	out := http.NewResponseController(c.Writer)
	beat, end := time.NewTicker(guestBeat), time.NewTimer(site.StreamLife)
	defer beat.Stop()
	defer end.Stop()
	for fresh := true; ; {
		event := []byte(": still here\n\n")
		if fresh {
			if event, err = s.nextTurn(ctx, panel.SeatToken(token)); err != nil {
				return err
			}
		}
		if site.Send(c, out, event) != nil {
			return nil // the phone is gone
		}
		select {
		case <-ctx.Done():
			return nil
		case <-s.Options.Stopping:
			return nil
		case <-end.C:
			return nil
		case <-beat.C:
			fresh = false
		case <-changed:
			fresh = true
		}
	}
}

// nextTurn reads whose turn it is. It waits for its own turn among guests' requests:
// the stream itself holds none, or a few phones would keep all others out.
func (s *handlers) nextTurn(ctx context.Context, token panel.SeatToken) (event []byte, err error) {
	err = s.InGuestsTurn(ctx, func() error {
		b, err := s.Panel.Ballot(ctx, token)
		if errors.Is(err, panel.ErrNotFound) { // the tablet was taken back: its page looks again
			b, err = panel.Ballot{Stage: noStage}, nil
		}
		if err != nil {
			return err
		}
		event, err = turnEvent(b)
		return err
	})
	return event, err
}

func turnEvent(b panel.Ballot) ([]byte, error) {
	turn, err := json.Marshal(wireTurn{b.Stage, cmp.Or(b.Turn.ID, b.Gate.ID), b.Turn.Code, b.Notice()})
	return site.Event("turn", turn), err
}

// noStage is that of a link which opens no ballot any more.
const noStage panel.Stage = -1

// EventsPath is the stream of events of a guest's phone.
const EventsPath = "/t/:token/events"
