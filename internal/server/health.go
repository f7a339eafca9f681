package server

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// readyWithin is how long a write may take before the service counts as not ready:
// longer than a busy evening's queue, shorter than monitors wait.
const readyWithin = 5 * time.Second

// ready says whether answers can be kept: it writes. /healthz says only that the
// service runs and reads. Whoever asks often shares one write a second.
func (s *server) ready(c *gin.Context) error {
	_, err := s.shared.of(c.Request.Context(), "ready", time.Now().Add(-sharedEvery), func(ctx context.Context) ([]byte, error) {
		ctx, cancel := context.WithTimeout(ctx, readyWithin)
		defer cancel()
		return nil, s.svc.Ready(ctx)
	})
	if err != nil {
		s.log.Error("not ready: nothing can be saved", "error", err)
		c.Header("Retry-After", retryAfter)
		c.String(http.StatusServiceUnavailable, "not ready: nothing can be saved now; the service's log says why\n")
		return nil
	}
	c.String(http.StatusOK, "ready\n")
	return nil
}
