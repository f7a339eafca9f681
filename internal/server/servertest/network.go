package servertest

import (
	"maps"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
)

// Network stands between phones and the service. While it is away, connections
// end without an answer.
type Network struct {
	Away atomic.Bool
	Lost atomic.Bool                               // while away, requests arrive and answers do not
	Late atomic.Pointer[httptest.ResponseRecorder] // an answer written earlier, given once to a request for a page
	next http.Handler
}

// ServeHTTP passes a request on, or loses it.
func (n *Network) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
		if old := n.Late.Swap(nil); old != nil {
			maps.Copy(w.Header(), old.Header())
			_, _ = w.Write(old.Body.Bytes()) // a phone that leaves shows in the test
			return
		}
	}
	if n.Away.Load() {
		if n.Lost.Load() {
			n.next.ServeHTTP(httptest.NewRecorder(), r)
		}
		panic(http.ErrAbortHandler) // closes the connection
	}
	n.next.ServeHTTP(w, r)
}

// Network puts one in front of the fixture, before its first request.
func (f *Fixture) Network() *Network {
	n := &Network{next: f.Web.Config.Handler}
	f.Web.Config.Handler = n
	return n
}
