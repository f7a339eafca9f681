package server

import (
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// requestSeconds counts requests and how long they took. Its labels are routes, not paths,
// so that no token, no study and no guest stands in it.
type requestSeconds struct{ *prometheus.HistogramVec }

// durations are upper ends, in seconds; a page that stays open (events) lies beyond them.
var durations = []float64{0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10}

// newRequestSeconds registers the measure; nil counts nothing.
func newRequestSeconds(to prometheus.Registerer) (*requestSeconds, error) {
	if to == nil {
		return nil, nil // nothing to count with
	}
	m := &requestSeconds{prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "cloche_request_seconds",
		Help: "How long requests took, by method, route and status.", Buckets: durations},
		[]string{"method", "route", "status"})}
	return m, to.Register(m)
}

func (m *requestSeconds) count(method, route string, status int, took time.Duration) {
	if m != nil {
		m.WithLabelValues(method, route, strconv.Itoa(status)).Observe(took.Seconds())
	}
}
