package main

import (
	"context"
	"math/rand/v2"
	"net/http"
	"net/url"
	"regexp"
	"sync"
	"sync/atomic"
	"time"
)

// floorPace is how long one of the floor takes from plate to plate, on average: quicker
// than anybody walks.
const floorPace = time.Second

// floor are people who set plates down while phones send.
type floor struct {
	plates atomic.Int64
	wait   sync.WaitGroup
	stop   context.CancelFunc
}

// work lets so many of the floor in.
func (t *tasting) work(ctx context.Context, people int) (*floor, error) {
	ctx, stop := context.WithCancel(ctx)
	f := &floor{stop: stop}
	for range people {
		phone, err := t.browser(ctx, "/staff/"+string(t.floor.Link), url.Values{"code": {string(t.floor.Code)}})
		if err != nil {
			f.end()
			return nil, err
		}
		f.wait.Go(func() { f.serve(ctx, t, phone) })
	}
	return f, nil
}

func (f *floor) end() {
	f.stop()
	f.wait.Wait()
}

// setDown finds where a plate can be set down, on the list of seats.
var setDown = regexp.MustCompile(`action="(/floor/seats/[^"]+/served)"`)

// serve sets down one plate after another, whichever the list says, until ctx ends.
func (f *floor) serve(ctx context.Context, t *tasting, phone *http.Client) {
	for ctx.Err() == nil {
		page, err := t.send(ctx, phone, "/floor", nil)
		if acts := setDown.FindAllStringSubmatch(page, -1); err == nil && len(acts) > 0 {
			if _, err := t.send(ctx, phone, acts[rand.IntN(len(acts))][1], url.Values{}); err == nil {
				f.plates.Add(1)
			}
		}
		pause(ctx, floorPace)
	}
}

// pause waits, between half as long as on average and half as long again.
func pause(ctx context.Context, average time.Duration) {
	if average <= 0 {
		return
	}
	timer := time.NewTimer(average/2 + rand.N(average))
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	}
}
