package server

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
)

// readyWithin is how long a write may take before the service counts as not ready:
// longer than a busy evening's queue, shorter than monitors wait.
const readyWithin = 5 * time.Second

// ready says whether answers can be kept: it writes. /healthz says only that the
// service runs and reads. Whoever asks often shares one write a second.
func (s *server) ready(c *gin.Context) error {
	_, err := s.Shared.Of(c.Request.Context(), "ready", time.Now().Add(-site.SharedEvery),
		func(ctx context.Context) ([]byte, error) {
			ctx, cancel := context.WithTimeout(ctx, readyWithin)
			defer cancel()
			return nil, s.Panel.Ready(ctx)
		})
	if err != nil {
		s.Log.Error("not ready: nothing can be saved", "error", err)
		c.Header("Retry-After", site.RetryAfter)
		c.String(http.StatusServiceUnavailable, "not ready: nothing can be saved now; the service's log says why\n")
		return nil
	}
	// Which proxy stands in front is told to “cloche doctor”, which asks as phones do.
	c.String(http.StatusOK, "ready\nproxy: "+s.ProxyOf(c.Request)+"\n")
	return nil
}

func (s *server) healthy(c *gin.Context) error {
	if _, err := s.Panel.HasPassword(c.Request.Context()); err != nil {
		return err
	}
	c.String(http.StatusOK, "ok\n")
	return nil
}
