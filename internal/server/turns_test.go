package server

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
)

// TestStaffDoNotWaitBehindGuests asks of a site that has no turn to give.
func TestStaffDoNotWaitBehindGuests(t *testing.T) {
	s := &server{Site: &site.Site{}}
	broken := errors.New("broken")
	gone, leave := context.WithCancel(t.Context())
	leave()
	for of, want := range map[site.Role]error{site.Floor: broken, site.Lead: broken, site.Assessor: context.Canceled} {
		c, _ := gin.CreateTestContext(httptest.NewRecorder())
		c.Request = httptest.NewRequestWithContext(gone, http.MethodGet, "/", nil)
		err := s.inTurn(c, site.Route{Role: of, Handle: func(*gin.Context) error { return broken }})
		if !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", of, err, want)
		}
	}
}
