package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/internal/store/storetest"
)

// beside is a service on a database that others use too.
func beside(t *testing.T, dsn string) *panel.Service {
	t.Helper()
	kept, err := store.Open(t.Context(), dsn)
	fatal(t, err)
	t.Cleanup(func() { fatal(t, kept.Close()) })
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost, Others: kept.Others()})
	fatal(t, err)
	return svc
}

// until waits for what another service was told; the machine may be busy.
func until(t *testing.T, what string, so func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !so(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("nothing is heard of %s", what)
		}
	}
}

// TestServicesHearOfEachOther lets things happen at one of two services on a database and
// asks the other, which looks nothing up for it.
func TestServicesHearOfEachOther(t *testing.T) {
	t.Parallel()
	dsn := storetest.Postgres(t)
	id, join := openTasting(t, dsn, 6)
	here, there := beside(t, dsn), beside(t, dsn)
	ctx, lead := t.Context(), panel.Session{Role: panel.RoleLead}

	changed, stop := there.Watch(id)
	defer stop()
	token, err := here.Consent(ctx, join, "somebody", panel.PhoneConsent{})
	fatal(t, err)
	until(t, "a guest", func() bool {
		select {
		case <-changed:
			return true
		default:
			return false
		}
	})
	fatal(t, here.Start(ctx, token))

	sitting, err := there.Sittings(ctx, id)
	fatal(t, err)
	staff, err := there.StaffAccess(ctx, lead, sitting[0].ID)
	fatal(t, err)
	floor, kitchen := join2(t, here, staff[1], "10.0.0.7"), join2(t, there, staff[0], "10.0.0.8")
	wrongAtBoth(t, here, there, staff[1].Link)

	b, err := here.Ballot(ctx, token)
	fatal(t, err)
	code, _, _ := strings.Cut(string(b.Turn.Code), " ")
	ask, err := here.AskBlind(ctx, floor, panel.BreakBlind{Code: panel.Code(code), Reason: "hives"})
	fatal(t, err)
	until(t, "the wish to break the blind", func() bool {
		_, err := there.BlindAsk(ctx, kitchen, ask.ID)
		return err == nil
	})
	fatal(t, there.AgreeBlind(ctx, kitchen, ask.ID))
	until(t, "that somebody agreed", func() bool {
		_, err := here.OpenedBlind(ctx, floor, ask.ID)
		return err == nil
	})

	way, err := here.HandOver(ctx, floor)
	fatal(t, err)
	until(t, "the way in", func() bool {
		_, err := there.TakeOver(ctx, way)
		return err == nil
	})
	until(t, "that it was used", func() bool {
		_, err := here.TakeOver(ctx, way)
		return errors.Is(err, panel.ErrNotFound)
	})
}

// TestBoardAtAnotherServiceIsASecondBehind seats guests at one service and says how long after each
// the board at the other was sent. A busy machine adds to it: half of them have to be within the second.
func TestBoardAtAnotherServiceIsASecondBehind(t *testing.T) {
	dsn := storetest.Postgres(t)
	study, join := openTasting(t, dsn, 12)
	here := beside(t, dsn)
	fatal(t, here.SetPassword(t.Context(), "Ines", "two kitchens for one custard"))
	there := startService(t, dsn)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	seen := watchBoard(ctx, t, there, string(study))
	until(t, "the board as it is", func() bool { return seen.Load() > 0 })
	var behind []time.Duration
	for i := range 10 {
		sleep(ctx, time.Duration(i)*130*time.Millisecond) // at any moment between two boards
		before := seen.Load()
		_, err := here.Consent(ctx, join, fmt.Sprint("guest ", i), panel.PhoneConsent{})
		fatal(t, err)
		begun := time.Now()
		until(t, "a guest on the board", func() bool { return seen.Load() > before })
		behind = append(behind, time.Since(begun).Round(time.Millisecond))
	}
	slices.Sort(behind)
	t.Logf("boards were %v behind", behind)
	if half := behind[len(behind)/2]; half > time.Second {
		t.Errorf("half of the boards were %s behind or more, want at most a second", half)
	}
}

func join2(t *testing.T, svc *panel.Service, a panel.StaffAccess, from string) panel.Session {
	t.Helper()
	_, session, err := svc.JoinStaff(t.Context(), a.Link, a.Code, from)
	fatal(t, err)
	return session
}

// wrongAtBoth guesses a code at one service and is slowed down at the other.
func wrongAtBoth(t *testing.T, here, there *panel.Service, link panel.StaffToken) {
	t.Helper()
	guess := func(svc *panel.Service) error {
		_, _, err := svc.JoinStaff(t.Context(), link, "000000", "10.9.9.9")
		return err
	}
	for range 8 { // each costs a longer wait, once the one before is over
		for errors.Is(guess(here), panel.ErrSlowDown) {
			if errors.Is(guess(there), panel.ErrSlowDown) {
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
	t.Error("whoever guesses at one service is not slowed down at the other")
}

// inFront is a reverse proxy before two services, which leaves one that does not answer.
func inFront(t *testing.T, services ...*service) *service {
	t.Helper()
	var turn atomic.Int64
	var dead [2]atomic.Bool
	proxy := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		n := int(turn.Add(1)) % 2
		if dead[n].Load() {
			n = 1 - n
		}
		at := &url.URL{Scheme: "http", Host: services[n].address}
		to := httputil.ReverseProxy{FlushInterval: -1, Rewrite: func(r *httputil.ProxyRequest) {
			r.SetURL(at)
			r.SetXForwarded()
			r.Out.Host = r.In.Host
		}, ErrorHandler: func(http.ResponseWriter, *http.Request, error) {
			dead[n].Store(true)
			panic(http.ErrAbortHandler) // the phone hears nothing, and sends again
		}}
		to.ServeHTTP(w, r)
	}))
	t.Cleanup(proxy.Close)
	return &service{t: t, address: strings.TrimPrefix(proxy.URL, "http://")}
}

// TestFaultOneOfTwoServicesKilled lets phones taste behind a proxy with two services on one
// PostgreSQL, kills one in the middle, and finds every acknowledged answer once; the board at
// the other goes on.
func TestFaultOneOfTwoServicesKilled(t *testing.T) {
	t.Parallel()
	people := 60
	switch {
	case testing.Short():
		people = 24
	case faults(t) >= 100:
		people = 200
	}
	dsn := storetest.Postgres(t)
	study, join := openTasting(t, dsn, people)
	fatal(t, beside(t, dsn).SetPassword(t.Context(), "Ines", "two kitchens for one custard"))
	lives, dies := startService(t, dsn), startService(t, dsn)
	g := newGuests(t, inFront(t, lives, dies), join)
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	seen := watchBoard(ctx, t, lives, string(study))
	errs := g.tasteAll(ctx, people)
	for g.count() < people && ctx.Err() == nil {
		sleep(ctx, time.Millisecond)
	}
	if seen.Load() == 0 {
		t.Error("the board saw nothing while both were there")
	}
	dies.kill()
	atKill, before := g.count(), seen.Load()
	finished(t, errs)
	until(t, "what came after the kill", func() bool { return seen.Load() > before })
	t.Logf("killed with %d of %d acknowledged; the board was sent %d times before, %d after", atKill,
		people*servingsEach, before, seen.Load()-before)
	lives.kill()
	g.checkKept(dsn, study, people)
}

// watchBoard signs in as the lead and counts what the board is sent.
func watchBoard(ctx context.Context, t *testing.T, s *service, study string) *atomic.Int64 {
	t.Helper()
	jar, err := cookiejar.New(nil)
	fatal(t, err)
	lead := &http.Client{Jar: jar}
	base := "http://" + s.address
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, base+"/sign-in",
		strings.NewReader(url.Values{"password": {"two kitchens for one custard"}}.Encode()))
	fatal(t, err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", base)
	in, err := lead.Do(r)
	fatal(t, err)
	fatal(t, in.Body.Close())
	r, err = http.NewRequestWithContext(ctx, http.MethodGet, base+"/studies/"+study+"/events", nil)
	fatal(t, err)
	stream, err := lead.Do(r)
	fatal(t, err)
	if kind := stream.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Fatalf("the board is %s", kind)
	}
	var seen atomic.Int64
	go func() {
		defer stream.Body.Close()
		for lines := bufio.NewScanner(stream.Body); lines.Scan(); {
			if strings.HasPrefix(lines.Text(), "event: fresh") {
				seen.Add(1)
			}
		}
	}()
	return &seen
}
