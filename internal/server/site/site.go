package site

import (
	"context"
	"log/slog"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"
	"github.com/prometheus/client_golang/prometheus"

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
	// Backups is the folder into which backups are made by themselves, of which the newest BackupKeep are
	// kept; "" when none are.
	Backups    string
	BackupKeep int
	// ForgetAfter is how many days after the close of a study its guests are forgotten; 0 = never.
	ForgetAfter int
	// DeleteAfter is how many days after its close a study is deleted, with its verdict kept unless
	// DropVerdicts; 0 = never.
	DeleteAfter  int
	DropVerdicts bool
	// Log gets one line a request, without tokens; nil discards.
	Log *slog.Logger
	// Proxies are the addresses of reverse proxies whose X-Forwarded-For is
	// believed; wrong passwords are slowed down by the address found there.
	Proxies []string
	// Metrics registers what is measured of requests; nil measures nothing.
	Metrics prometheus.Registerer
	// Checkups looks at what an evening stands on; nil looks at nothing.
	Checkups func(context.Context) []Checkup
	// Stopping is closed when the service stops, so that pages that stay open
	// let it go; nil never stops them.
	Stopping <-chan struct{}
}

// Checkup is one thing that was looked at. What is neither wrong nor doubtful is well.
type Checkup struct {
	What, Found string
	Todo        string // "" = nothing
	Wrong       bool   // guests' answers are at risk, or nobody can taste
}

// Site is what the rooms of the service share; nothing but the count of streams
// changes after [New].
type Site struct {
	Panel   *panel.Service
	Options Options
	Log     *slog.Logger
	assets  *Assets
	pages   *Pages

	proxies *proxies
	streams streams       // of events that are open
	Shared  sharedParts   // of pages that many watch
	guests  chan struct{} // holds one for each request of a guest that is worked on
}

// New returns the site of a service with its files and parsed templates.
func New(svc *panel.Service, o Options, files *Assets, parsed *Pages) *Site {
	s := &Site{Panel: svc, Options: o, Log: o.Log, assets: files, pages: parsed,
		proxies: newProxies(o.Proxies), guests: make(chan struct{}, guestsAtOnce)}
	if s.Log == nil {
		s.Log = slog.New(slog.DiscardHandler)
	}
	return s
}

// ShowNotice shows a notice that is no error: the link is right.
func ShowNotice(s *Site, c *gin.Context, page Frame, n notice) error {
	n.Frame = page
	return Show(s, c, http.StatusOK, noticeScreen, n)
}

// Secure reports whether the service is reached over TLS.
func (s *Site) Secure() bool { return strings.HasPrefix(s.Options.URL, "https://") }

// BaseURL returns the address for links that leave the page: QR codes and cards.
func (s *Site) BaseURL(r *http.Request) string {
	if s.Options.URL != "" {
		return strings.TrimRight(s.Options.URL, "/")
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
