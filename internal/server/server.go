package server

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// Options are what a handler needs to know of its surroundings.
type Options = site.Options

// Checkup is one thing that was looked at before guests come.
type Checkup = site.Checkup

// server is the router: it admits requests and hands them to the rooms.
type server struct {
	*site.Site
	requests *requestSeconds
}

// New returns the handler of a service. It fails when a template or an asset is
// missing or does not parse.
func New(svc *panel.Service, o site.Options) (http.Handler, error) {
	files, parsed, err := readSite(o.Invented)
	if err != nil {
		return nil, err
	}
	requests, err := newRequestSeconds(o.Metrics)
	if err != nil {
		return nil, fmt.Errorf("measure requests: %w", err)
	}
	s := &server{site.New(svc, o, files, parsed), requests}
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	if err := e.SetTrustedProxies(o.Proxies); err != nil {
		return nil, fmt.Errorf("proxies: %w", err)
	}
	guard := http.NewCrossOriginProtection()
	if o.URL != "" { // behind a proxy the request may name another host
		if err := guard.AddTrustedOrigin(strings.TrimRight(o.URL, "/")); err != nil {
			return nil, fmt.Errorf("address %q: %w; write one without a path, such as https://tasting.example.org",
				o.URL, err)
		}
	}
	e.Use(s.note, s.LookForProxies, headers, s.overTLS, s.sameOrigin(guard))
	for _, r := range s.routes() {
		e.Handle(r.Method, r.Path, s.requireRole(r.Role), s.adapt(r))
		if r.Method == http.MethodGet { // link previews and watchdogs ask so; net/http drops the body
			e.HEAD(r.Path, s.requireRole(r.Role), s.adapt(r))
		}
	}
	e.NoRoute(s.adapt(site.Route{Role: site.Anyone, Handle: notFound}))
	return e, nil
}
