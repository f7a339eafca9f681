package panel_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/stamp"
	"cloche/internal/stamp/stamptest"
)

// TestTheTimeOfAStampIsHeldToTheLock stamps a plan at moments around the lock and now, by a
// clock that is a second off at most: five minutes are allowed between the clocks.
func TestTheTimeOfAStampIsHeldToTheLock(t *testing.T) {
	for _, tc := range []struct {
		name  string
		after time.Duration // the lock; it is answered an hour after it
		want  string
	}{
		{"long before the lock", -time.Hour, "the plan was locked at"},
		{"just too early", -5*time.Minute - 3*time.Second, "the plan was locked at"},
		{"within what clocks are off", -5*time.Minute + time.Second, ""},
		{"at the lock", time.Second, ""},
		{"now", time.Hour, ""},
		{"a little fast", time.Hour + 5*time.Minute - time.Second, ""},
		{"still to come", time.Hour + 5*time.Minute + 3*time.Second, "by this service’s clock"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			w := newWalk(t, panel.Locked)
			locked := w.read().Lock.At
			w.must(w.svc.RequestStamp(w.ctx, byLead, w.study))
			w.clock.pass(time.Hour)
			asked := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
			answer := stamptest.New(t, locked, nil).Answer(asked.Request, locked.Add(tc.after), nil)
			err := w.svc.KeepStamp(w.ctx, byLead, w.study, answer)
			var refused *stamp.Refusal
			if tc.want == "" && err != nil ||
				tc.want != "" && (!errors.As(err, &refused) || !strings.Contains(refused.What, tc.want)) {
				t.Fatalf("%v, want a refusal with %q", err, tc.want)
			}
			kept := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
			if tookIt := bytes.Equal(kept.Answer, answer); tookIt != (tc.want == "") {
				t.Errorf("kept: %v", tookIt)
			}
		})
	}
}

// TestAStampIsOfWhatWasLocked asks twice, which makes one request, and for two studies.
func TestAStampIsOfWhatWasLocked(t *testing.T) {
	w := newWalk(t, panel.Locked)
	if kept := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study)); kept.Request != nil {
		t.Errorf("nobody has asked, and there is %x", kept.Request)
	}
	w.wantError("an answer before the request", w.svc.KeepStamp(w.ctx, byLead, w.study, []byte("x")),
		panel.ErrWrongState)
	w.must(w.svc.RequestStamp(w.ctx, byLead, w.study))
	first := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
	w.must(w.svc.RequestStamp(w.ctx, byLead, w.study))
	again := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
	if !bytes.Equal(again.Request, first.Request) {
		t.Error("asked again, the request is another")
	}
	stored := w.read()
	if sums := string(panel.LockedSums(stored)); sums !=
		stored.Lock.StudyHash+"  study.json\n"+stored.Lock.PlanHash+"  serving-plan.txt\n" {
		t.Errorf("what is stamped is\n%s", sums)
	}
	other := newWalk(t, panel.Locked)
	other.must(other.svc.RequestStamp(other.ctx, byLead, other.study))
	answer := w.authority().Answer(first.Request, stored.Lock.At, nil)
	var refused *stamp.Refusal
	if err := other.svc.KeepStamp(other.ctx, byLead, other.study, answer); !errors.As(err, &refused) {
		t.Errorf("the stamp of another plan: %v", err)
	}
	if x, err := w.svc.Stamped(w.ctx, w.study); x != nil || err != nil {
		t.Errorf("before the answer: %+v, %v", x, err)
	}
	w.must(w.svc.KeepStamp(w.ctx, byLead, w.study, answer))
	x, err := w.svc.Stamped(w.ctx, w.study)
	if err != nil || x.Authority != stamptest.Name || !x.BeforeOpening {
		t.Errorf("%+v, %v", x, err)
	}
	w.clock.pass(time.Minute)
	w.open()
	if x, err := w.svc.Stamped(w.ctx, w.study); err != nil || !x.BeforeOpening {
		t.Errorf("once it is open: %+v, %v", x, err)
	}
}

// TestAStampAfterTheOpeningSaysSo opens before the stamp is made.
func TestAStampAfterTheOpeningSaysSo(t *testing.T) {
	w := newWalk(t, panel.Open)
	w.must(w.svc.RequestStamp(w.ctx, byLead, w.study))
	w.clock.pass(time.Hour)
	asked := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
	w.must(w.svc.KeepStamp(w.ctx, byLead, w.study, w.authority().Answer(asked.Request, w.clock.now(), nil)))
	if x, err := w.svc.Stamped(w.ctx, w.study); err != nil || x.BeforeOpening {
		t.Errorf("%+v, %v", x, err)
	}
}
