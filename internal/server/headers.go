package server

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// policy is the Content-Security-Policy of every answer: nothing from another
// host, no script or style inside a page.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// headers sets what every answer carries. A handler may loosen Cache-Control.
//
// The referrer policy is same-origin: no other site ever learns a join link or
// a ballot's link. It is not no-referrer, under which browsers send "Origin:
// null" with forms (Fetch standard, "append a request Origin header"); over
// plain HTTP, where they send no Sec-Fetch-Site either, every form would look
// like one from another site.
func headers(c *gin.Context) {
	h := c.Writer.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("X-Robots-Tag", "noindex")
	h.Set("Cache-Control", "no-store")
}

// overTLS tells browsers, once the service was reached over HTTPS, never to ask for
// it in the clear (RFC 6797), for a year. Other names of the domain are not ours to bind.
func (s *server) overTLS(c *gin.Context) {
	if s.Secure() {
		c.Writer.Header().Set("Strict-Transport-Security", "max-age=31536000")
	}
}

// quiet are the routes that pages and monitors ask for all the time.
var quiet = map[string]bool{"/assets/:version/*file": true, "/healthz": true, "/readyz": true,
	"/studies/:id/board": true, "/studies/:id/size": true, "/floor/events": true, "/kitchen/events": true,
	"/studies/:id/events": true}

// note logs one line a request. Paths hold tokens, so the route's pattern
// stands for the path; addresses of guests are not kept.
func (s *server) note(c *gin.Context) {
	begun := time.Now()
	c.Next()
	pattern := c.FullPath()
	if pattern == "" {
		pattern = "(no route)"
	}
	s.requests.count(c.Request.Method, pattern, c.Writer.Status(), time.Since(begun))
	level := slog.LevelInfo
	if quiet[pattern] && c.Writer.Status() < http.StatusBadRequest {
		level = slog.LevelDebug
	}
	s.Log.LogAttrs(c.Request.Context(), level, "request",
		slog.String("method", c.Request.Method), slog.String("route", pattern),
		slog.Int("status", c.Writer.Status()), slog.Int("bytes", max(c.Writer.Size(), 0)),
		slog.Duration("took", time.Since(begun)))
}
