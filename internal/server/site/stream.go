package site

import (
	"bytes"
	"cloche/internal/panel"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// Streams of events (HTML Living Standard, "Server-sent events").
const (
	streamTick  = 10 * time.Second // waits and rinses change by time alone
	StreamRest  = 250 * time.Millisecond
	streamWrite = 15 * time.Second // a phone that takes longer is gone
	StreamLife  = 10 * time.Minute // then the browser asks anew: nothing is held for good
	maxStreams  = 400              // beyond that pages ask again by themselves
	maxOwn      = 10               // the same for one session, so that it leaves room for others
)

// ErrOver ends a stream for good: the page loads anew and says why.
var ErrOver = errors.New("there is no more to come")

// Stream sends a part of a page again whenever something changed in a study. make
// renders it for the session of the request, which is looked up again each time:
// a renewed code ends what came through the old one.
func (s *Site) Stream(c *gin.Context, r Role, studyID panel.StudyID, make func() ([]byte, error)) error {
	owner := s.streamOwner(c, r)
	if !s.streams.open(owner) {
		c.Header("Retry-After", "60")
		c.String(http.StatusServiceUnavailable, "too many pages are open\n")
		return nil
	}
	defer s.streams.close(owner)
	changed, stop := s.Panel.Watch(studyID)
	defer stop()
	c.Header("Content-Type", "text/event-stream")
	c.Header("X-Accel-Buffering", "no") // proxies that would hold it back
	out := http.NewResponseController(c.Writer)
	tick, end := time.NewTicker(streamTick), time.NewTimer(StreamLife)
	defer tick.Stop()
	defer end.Stop()
	var last []byte
	for {
		if r != Anyone && s.AdmitSession(c, r) != nil {
			return over(c, out)
		}
		part, err := make()
		if errors.Is(err, ErrOver) {
			return over(c, out)
		}
		if err != nil {
			return err
		}
		event := []byte(": still here\n\n")
		if !bytes.Equal(part, last) {
			event, last = Event("fresh", part), part
		}
		if Send(c, out, event) != nil {
			return nil // the page is gone
		}
		select {
		case <-c.Request.Context().Done():
			return nil
		case <-s.Options.Stopping:
			return nil
		case <-end.C:
			return nil
		case <-tick.C:
		case <-changed:
			time.Sleep(StreamRest) // several changes in a row make one event
		}
	}
}

func over(c *gin.Context, out *http.ResponseController) error {
	_ = Send(c, out, Event("over", nil)) // if the page is gone, it is over all the same
	return nil
}

func Send(c *gin.Context, out *http.ResponseController, event []byte) error {
	// A test's recorder knows no deadlines.
	if err := out.SetWriteDeadline(time.Now().Add(streamWrite)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	if _, err := c.Writer.Write(event); err != nil {
		return err
	}
	return out.Flush()
}

// Event writes an event of a name with data of several lines.
func Event(name string, data []byte) []byte {
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

// Part renders one template of a screen alone, in the language of the page that it is of.
func (s *Site) Part(screen, lang, name string, page any) ([]byte, error) {
	var b bytes.Buffer
	set, err := s.pages.in(screen, lang)
	if err != nil {
		return nil, err
	}
	if err := set.ExecuteTemplate(&b, name, page); err != nil {
		return nil, fmt.Errorf("render %s: %w", screen, err)
	}
	return b.Bytes(), nil
}
