package server

import (
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync/atomic"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// Options are what a handler needs to know of its surroundings.
type Options struct {
	// URL is the address that phones reach, e.g. "http://192.168.1.20:8080". It
	// stands in join links and QR codes. With https, cookies are sent over TLS
	// alone. "" takes the address that the request was sent to.
	URL string
	// SetupCode is asked for when the lead's password is set for the first time,
	// so that a guest's phone cannot take the service over. "" refuses to set it.
	SetupCode string
	// Invented says on every page that the data is invented, as in a demo; else
	// only the pages of studies that say so of themselves do.
	Invented bool
	// Log gets one line a request, without tokens; nil discards.
	Log *slog.Logger
	// Proxies are the addresses of reverse proxies whose X-Forwarded-For is
	// believed; wrong passwords are slowed down by the address found there.
	Proxies []string
	// Stopping is closed when the service stops, so that pages that stay open
	// let it go; nil never stops them.
	Stopping <-chan struct{}
}

// server is the handler's state; nothing but the count of streams changes after [New].
type server struct {
	svc    *panel.Service
	o      Options
	log    *slog.Logger
	assets *assets
	pages  pages

	streams streams       // of events that are open
	shared  sharedParts   // of pages that many watch
	guests  chan struct{} // holds one for each request of a guest that is worked on
	phones  atomic.Int64  // streams of guests' phones that are open
}

// New returns the handler of a service. It fails when a template or an asset is
// missing or does not parse.
func New(svc *panel.Service, o Options) (http.Handler, error) {
	s := &server{svc: svc, o: o, log: o.Log, guests: make(chan struct{}, guestsAtOnce)}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	var err error
	if s.assets, s.pages, err = readSite(o.Invented); err != nil {
		return nil, err
	}
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	if err := e.SetTrustedProxies(o.Proxies); err != nil {
		return nil, fmt.Errorf("proxies: %w", err)
	}
	guard := http.NewCrossOriginProtection()
	if o.URL != "" { // behind a proxy the request may name another host
		if err := guard.AddTrustedOrigin(strings.TrimRight(o.URL, "/")); err != nil {
			return nil, fmt.Errorf("address %q: %w; write one without a path, such as https://tasting.example.org", o.URL, err)
		}
	}
	e.Use(s.note, headers, s.overTLS, s.sameOrigin(guard))
	for _, r := range s.routes() {
		e.Handle(r.method, r.path, s.admit(r.role), s.adapt(r))
		if r.method == http.MethodGet { // link previews and watchdogs ask so; net/http drops the body
			e.HEAD(r.path, s.admit(r.role), s.adapt(r))
		}
	}
	e.NoRoute(s.adapt(route{role: anyone, handle: notFound}))
	return e, nil
}

// secure reports whether the service is reached over TLS.
func (s *server) secure() bool { return strings.HasPrefix(s.o.URL, "https://") }

// base returns the address for links that leave the page: QR codes and cards.
func (s *server) base(r *http.Request) string {
	if s.o.URL != "" {
		return strings.TrimRight(s.o.URL, "/")
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
