package server

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// Streams of events (HTML Living Standard, "Server-sent events").
const (
	streamTick  = 10 * time.Second // waits and rinses change by time alone
	streamRest  = 250 * time.Millisecond
	streamWrite = 15 * time.Second // a phone that takes longer is gone
	streamLife  = 10 * time.Minute // then the browser asks anew: nothing is held for good
	maxStreams  = 400              // beyond that pages ask again by themselves
	maxOwn      = 10               // the same for one session, so that it leaves room for others
)

// errOver ends a stream for good: the page loads anew and says why.
var errOver = errors.New("there is no more to come")

// stream sends a part of a page again whenever something changed in a study. make
// renders it for the session of the request, which is looked up again each time:
// a renewed code ends what came through the old one.
func (s *server) stream(c *gin.Context, r role, studyID string, make func() ([]byte, error)) error {
	owner := s.streamOwner(c, r)
	if !s.streams.open(owner) {
		c.Header("Retry-After", "60")
		c.String(http.StatusServiceUnavailable, "too many pages are open\n")
		return nil
	}
	defer s.streams.close(owner)
	changed, stop := s.svc.Watch(studyID)
	defer stop()
	c.Header("Content-Type", "text/event-stream")
	c.Header("X-Accel-Buffering", "no") // proxies that would hold it back
	out := http.NewResponseController(c.Writer)
	tick, end := time.NewTicker(streamTick), time.NewTimer(streamLife)
	defer tick.Stop()
	defer end.Stop()
	var last []byte
	for {
		if r != anyone && s.admitsSession(c, r) != nil {
			return over(c, out)
		}
		part, err := make()
		if errors.Is(err, errOver) {
			return over(c, out)
		}
		if err != nil {
			return err
		}
		event := []byte(": still here\n\n")
		if !bytes.Equal(part, last) {
			event, last = asEvent("fresh", part), part
		}
		if send(c, out, event) != nil {
			return nil // the page is gone
		}
		select {
		case <-c.Request.Context().Done():
			return nil
		case <-s.o.Stopping:
			return nil
		case <-end.C:
			return nil
		case <-tick.C:
		case <-changed:
			time.Sleep(streamRest) // several changes in a row make one event
		}
	}
}

func over(c *gin.Context, out *http.ResponseController) error {
	_ = send(c, out, asEvent("over", nil)) // if the page is gone, it is over all the same
	return nil
}

func send(c *gin.Context, out *http.ResponseController, event []byte) error {
	// A test's recorder knows no deadlines.
	if err := out.SetWriteDeadline(time.Now().Add(streamWrite)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	if _, err := c.Writer.Write(event); err != nil {
		return err
	}
	return out.Flush()
}

// asEvent writes an event of a name with data of several lines.
func asEvent(name string, data []byte) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "event: %s\nretry: 3000\n", name)
	for line := range bytes.Lines(data) {
		fmt.Fprintf(&b, "data: %s\n", bytes.TrimRight(line, "\r\n"))
	}
	if len(data) == 0 {
		b.WriteString("data:\n")
	}
	b.WriteByte('\n')
	return b.Bytes()
}

// part renders one template of a screen alone.
func (s *server) part(screen, name string, page any) ([]byte, error) {
	var b bytes.Buffer
	if err := s.pages[screen].ExecuteTemplate(&b, name, page); err != nil {
		return nil, fmt.Errorf("render %s: %w", screen, err)
	}
	return b.Bytes(), nil
}

// roomEvents streams the floor's list.
func (s *server) roomEvents(c *gin.Context) error {
	return s.stream(c, floor, who(c).StudyID, func() ([]byte, error) {
		page, err := s.roomPage(c)
		if err != nil {
			return nil, err
		}
		if !page.Open {
			return nil, errOver
		}
		return s.part(roomScreen.name, "seats", page)
	})
}
