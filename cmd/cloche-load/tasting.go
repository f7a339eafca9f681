package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/store"
)

// loadStudy is an invented study for so many assessors.
const loadStudy = `cloche: 1
title: Invented, to measure how fast answers are taken
question: names
invented: true
dishes:
  - {id: custard, title: warm celeriac custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
names:
  - {id: brulee, text: celeriac crème brûlée}
  - {id: royale, text: celeriac royale}
  - {id: cream, text: set celeriac cream}
  - {id: flan, text: celeriac flan}
samples:
  - {id: A, dish: custard, name: brulee}
  - {id: B, dish: custard, name: royale}
  - {id: C, dish: custard, name: cream}
  - {id: D, dish: custard, name: flan}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: %d}
serving: {rinse: 0 s, plate gate: false, seed: 7, spare codes: 0, codes: sample}
texts:
  consent: I agree to taste four spoonfuls.
  instructions: Take a spoonful, then answer.
  thanks: That was all.
analysis: {compare: [A, B], attribute: salt}
`

const servingsEach = 4

// tasting is a service with an open study whose panel is seated.
type tasting struct {
	kept   *store.Store
	http   *http.Server
	url    string
	study  string   // id
	tokens []string // of the personal links
}

func openTasting(ctx context.Context, file string, phones int) (*tasting, error) {
	kept, err := store.Open(ctx, file)
	if err != nil {
		return nil, err
	}
	t := &tasting{kept: kept}
	if err := t.open(ctx, phones); err != nil {
		t.close()
		return nil, err
	}
	return t, nil
}

func (t *tasting) open(ctx context.Context, phones int) error {
	svc, err := panel.New(ctx, t.kept, panel.Options{})
	if err != nil {
		return err
	}
	if err := t.seat(ctx, svc, phones); err != nil {
		return err
	}
	if err := svc.SetPassword(ctx, boardPassword); err != nil {
		return err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	t.url = "http://" + listener.Addr().String()
	handler, err := server.New(svc, server.Options{URL: t.url, Invented: true,
		Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		return err
	}
	t.http = &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: time.Minute}
	go func() { _ = t.http.Serve(listener) }() // ends with close
	return nil
}

// seat opens the study and gives every phone its place: joining is not measured.
func (t *tasting) seat(ctx context.Context, svc *panel.Service, phones int) error {
	file := fmt.Appendf(nil, loadStudy, phones)
	stored, problems, err := svc.Upload(ctx, panel.Session{Role: panel.RoleLead}, "load.yaml", file)
	if err != nil {
		return err
	}
	if len(problems) > 0 {
		return problems[0]
	}
	t.study = string(stored.ID)
	if err := svc.Lock(ctx, panel.Session{Role: panel.RoleLead}, stored.ID, stored.Revision); err != nil {
		return err
	}
	sitting, err := svc.OpenSitting(ctx, panel.Session{Role: panel.RoleLead}, stored.ID)
	if err != nil {
		return err
	}
	for i := range phones {
		token, err := svc.Consent(ctx, sitting.Join, fmt.Sprint(i), panel.PhoneConsent{})
		if err != nil {
			return err
		}
		if err := svc.Start(ctx, token); err != nil {
			return err
		}
		t.tokens = append(t.tokens, string(token))
	}
	return nil
}

func (t *tasting) close() {
	if t.http != nil {
		_ = t.http.Close()
	}
	_ = t.kept.Close()
}
