package server

import (
	"fmt"
	"net/http"
	"runtime/debug"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/phones"
	"cloche/internal/server/site"
)

// notFound is the answer to every address that leads nowhere.
func notFound(*gin.Context) error { return panel.ErrNotFound }

// adapt turns a handler that returns an error into one that Gin calls. It reads
// the form of a POST, bounded, before the handler sees it.
func (s *server) adapt(r site.Route) gin.HandlerFunc {
	return func(c *gin.Context) {
		defer func() {
			p := recover()
			if p == http.ErrAbortHandler { // a download that was cut short
				panic(p)
			}
			if p != nil {
				s.Log.Error("panic", "value", fmt.Sprint(p), "stack", string(debug.Stack()))
				s.Fail(c, r.Role, fmt.Errorf("panic: %v", p))
			}
		}()
		if r.Role == site.Assessor && (s.TakeLanguage(c) || s.TakeTextSize(c)) ||
			r.OfHouse() && s.TakeTongue(c) {
			return
		}
		err := site.ReadForm(c, r.Role)
		if err == nil {
			err = s.inTurn(c, r)
		}
		if err != nil {
			s.Fail(c, r.Role, err)
		}
	}
}

// inTurn handles a request; a guest's, when its turn comes. A stream takes a turn for
// each event, not for as long as it is open. The form was read by then: no slow phone
// holds a turn. Staff need not wait behind guests.
func (s *server) inTurn(c *gin.Context, r site.Route) error {
	if r.Role != site.Assessor || r.Path == phones.EventsPath {
		return r.Handle(c)
	}
	return s.InGuestsTurn(c.Request.Context(), func() error { return r.Handle(c) })
}
