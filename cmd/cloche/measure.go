package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// measure answers at an address of its own what is measured of requests, process and memory,
// until stop is called. Without an address there is nothing to register with.
func (o settings) measure(log *slog.Logger) (to prometheus.Registerer, stop func(), err error) {
	if o.Metrics == "" {
		return nil, func() {}, nil
	}
	l, err := net.Listen("tcp", o.Metrics)
	if err != nil {
		return nil, nil, fmt.Errorf("listen on %s: %w; choose another address with --metrics", o.Metrics, err)
	}
	all := prometheus.NewRegistry()
	all.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(all, promhttp.HandlerOpts{Registry: all}))
	hs := &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 30 * time.Second,
		MaxHeaderBytes: 16 << 10}
	go func() {
		if err := hs.Serve(l); err != nil && !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics stopped", slog.Any("error", err))
		}
	}()
	log.Info("metrics", slog.String("address", l.Addr().String()))
	return all, func() { _ = hs.Shutdown(context.Background()) }, nil
}
