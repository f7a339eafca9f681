package site

import (
	"log/slog"
	"net/http"
	"net/netip"
	"sync/atomic"

	"github.com/gin-gonic/gin"
)

// forwarding are the headers in which a proxy says for whom it asks: RFC 7239, section
// 4, and the two that were in use before it.
var forwarding = []string{"Forwarded", "X-Forwarded-For", "X-Real-Ip"}

// proxies finds out whether a proxy stands in front of which the service was told
// nothing. Behind it everybody seems to come from one address.
type proxies struct {
	listed   []netip.Prefix
	unlisted atomic.Pointer[netip.Addr] // the first that was met
}

// newProxies takes the addresses and ranges of [Options]. What is neither is left out:
// the router refuses it with a word on why.
func newProxies(listed []string) *proxies {
	p := &proxies{}
	for _, x := range listed {
		if address, err := netip.ParseAddr(x); err == nil {
			p.listed = append(p.listed, netip.PrefixFrom(address, address.BitLen()))
		} else if some, err := netip.ParsePrefix(x); err == nil {
			p.listed = append(p.listed, some)
		}
	}
	return p
}

// LookForProxies says once in the log, and from then on to the lead, that a proxy seems
// to stand in front that is not listed. Anybody can write such a header, so one is met
// with words alone.
func (s *Site) LookForProxies(c *gin.Context) {
	if s.proxies.unlisted.Load() != nil || !isForwarded(c.Request) {
		return
	}
	at, err := netip.ParseAddrPort(c.Request.RemoteAddr)
	if err != nil {
		return
	}
	from := at.Addr().Unmap()
	if s.proxies.lists(from) || !s.proxies.unlisted.CompareAndSwap(nil, &from) {
		return
	}
	s.Log.LogAttrs(c.Request.Context(), slog.LevelWarn,
		"a proxy seems to stand in front that is not listed: everybody seems to come from one address, "+
			"so wrong passwords slow down all, and one phone may take more places than it should; "+
			"if a proxy of yours has this address, start the service with --proxies or CLOCHE_PROXIES set to it",
		slog.String("address", from.String()))
}

// ProxyOf says in a word what stands between the service and whoever asks: "none",
// "believed", "not listed", or "silent" when one that is listed does not say for whom it asks.
func (s *Site) ProxyOf(r *http.Request) string {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	listed := err == nil && s.proxies.lists(at.Addr().Unmap())
	switch {
	case listed && isForwarded(r):
		return "believed"
	case listed:
		return "silent"
	case isForwarded(r):
		return "not listed"
	}
	return "none"
}

func isForwarded(r *http.Request) bool {
	for _, name := range forwarding {
		if r.Header.Get(name) != "" {
			return true
		}
	}
	return false
}

func (p *proxies) lists(a netip.Addr) bool {
	for _, x := range p.listed {
		if x.Contains(a) {
			return true
		}
	}
	return false
}

// UnlistedProxy is the address of the proxy that seems to stand in front without being
// listed; "" when none was met.
func (s *Site) UnlistedProxy() string {
	if a := s.proxies.unlisted.Load(); a != nil {
		return a.String()
	}
	return ""
}
