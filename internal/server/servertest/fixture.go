package servertest

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"log/slog"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/store"
)

// Pages and their trees are garbage as soon as they were looked at: to collect it less often
// takes a sixth off the processor time of these tests, and a few megabytes.
func init() { debug.SetGCPercent(400) }

// ByLead is a session of the lead, for what tests ask of the service itself.
var ByLead = panel.Session{Role: panel.RoleLead}

const (
	LeadName     = "Ines" // who owns the service
	LeadPassword = "three forks in a drawer"
	SetupCode    = "k7q2m9xdp3"
)

// Clock is a clock that tests set by hand.
type Clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *Clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

// Pass puts the clock forward.
func (c *Clock) Pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

// Fixture is a service on a fresh database, served over HTTP.
type Fixture struct {
	T     *testing.T
	Svc   *panel.Service
	Clock *Clock
	Web   *httptest.Server
	Log   *syncBuffer
}

// syncBuffer is a log that requests may write at once.
type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *syncBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *syncBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

// New returns a service that asks for a set-up code.
func New(t *testing.T) *Fixture {
	t.Helper()
	return NewWith(t, server.Options{SetupCode: SetupCode})
}

// NewWith returns a service with options; it logs to [Fixture.Log].
func NewWith(t *testing.T, o server.Options) *Fixture {
	t.Helper()
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	f := &Fixture{T: t, Log: &syncBuffer{}, Clock: &Clock{at: time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)}}
	if f.Svc, err = panel.New(t.Context(), kept, panel.Options{Now: f.Clock.now,
		HashCost: bcrypt.MinCost}); err != nil {
		t.Fatal(err)
	}
	o.Log = slog.New(slog.NewTextHandler(f.Log, nil))
	handler, err := server.New(f.Svc, o)
	if err != nil {
		t.Fatal(err)
	}
	f.Web = httptest.NewServer(handler)
	t.Cleanup(f.Web.Close)
	return f
}

// Uploaded returns the id of a draft.
func (f *Fixture) Uploaded(file string) panel.StudyID {
	f.T.Helper()
	stored, problems, err := f.Svc.Upload(f.T.Context(), ByLead, "study.yaml", []byte(file))
	if err != nil || len(problems) > 0 {
		f.T.Fatal(err, problems)
	}
	return stored.ID
}

// InState returns a study in a state and, once it was opened, its join token.
func (f *Fixture) InState(file string, state panel.State) (id panel.StudyID, join panel.JoinToken) {
	f.T.Helper()
	ctx := f.T.Context()
	id = f.Uploaded(file)
	if strings.Contains(file, "{id: "+CanaryDish) {
		f.Must(f.Svc.SetPhoto(ctx, ByLead, id, CanaryDish, photograph(f.T)))
	}
	if state >= panel.Locked {
		f.Must(f.Svc.Lock(ctx, ByLead, id, 1))
	}
	if state >= panel.Open {
		sitting, err := f.Svc.OpenSitting(ctx, ByLead, id)
		f.Must(err)
		join = sitting.Join
	}
	if state >= panel.Closed {
		for i := range 3 {
			f.Tasted(join, fmt.Sprintf("nonce-of-a-guest-%d", i), []string{"20", "30", "40"}[i],
				[]string{"70", "40", "60"}[i])
		}
		f.Must(f.Svc.Close(ctx, ByLead, id))
	}
	return id, join
}

// Tasted takes one assessor through the whole ballot.
func (f *Fixture) Tasted(join panel.JoinToken, nonce string, salt ...string) {
	f.T.Helper()
	token, err := f.Svc.Consent(f.T.Context(), join, nonce, panel.PhoneConsent{})
	f.Must(err)
	f.Must(f.Svc.Start(f.T.Context(), token))
	for _, x := range salt {
		b, err := f.Svc.Ballot(f.T.Context(), token)
		f.Must(err)
		_, err = f.Svc.Submit(f.T.Context(), token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
			Given: map[string]string{"a1": x, "a2": "6"}})
		f.Must(err)
	}
}

// Must ends the test when there is an error.
func (f *Fixture) Must(err error) {
	f.T.Helper()
	if err != nil {
		f.T.Fatal(err)
	}
}

// Skip skips a test that needs something this machine lacks; where everything
// is required, as in continuous integration, it fails instead.
func Skip(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
		t.Fatalf("%s, and CLOCHE_REQUIRE_ALL=1 allows no skip", reason)
	}
	t.Skip(reason)
}

// InPackage reads a file of the data package as the lead downloads it.
func (f *Fixture) InPackage(id panel.StudyID, name string) string {
	f.T.Helper()
	for path, content := range f.Lead().Get("/studies/" + string(id) + "/data.zip").Files() {
		if strings.HasSuffix(path, name) {
			return content
		}
	}
	f.T.Fatalf("the package has no %s", name)
	return ""
}

// Held returns the ratings of a closed study as "attribute value", in order.
func (f *Fixture) Held(id panel.StudyID) string {
	f.T.Helper()
	_, ratings, err := f.Svc.Ratings(f.T.Context(), id)
	f.Must(err)
	var all []string
	for _, r := range ratings {
		all = append(all, fmt.Sprint(r.Attribute, " ", r.Value))
	}
	return strings.Join(all, ", ")
}

// SeatedTokenAt seats one more guest and returns the ballot's token.
func (f *Fixture) SeatedTokenAt(join panel.JoinToken) panel.SeatToken {
	f.T.Helper()
	token, err := f.Svc.Consent(f.T.Context(), join, "one-more-guest-at-the-table", panel.PhoneConsent{})
	f.Must(err)
	return token
}

// Drafted returns a draft and the address's builder.
func (f *Fixture) Drafted(file string) (id panel.StudyID, edit string) {
	f.T.Helper()
	stored, err := f.Svc.Begin(f.T.Context(), ByLead, []byte(file), "a test")
	f.Must(err)
	return stored.ID, "/studies/" + string(stored.ID) + "/edit/"
}

// Begun seats a guest who has read the instructions and returns the ballot's path.
func (f *Fixture) Begun(join panel.JoinToken) string {
	f.T.Helper()
	token, err := f.Svc.Consent(f.T.Context(), join, "nonce-of-a-guest", panel.PhoneConsent{})
	f.Must(err)
	f.Must(f.Svc.Start(f.T.Context(), token))
	return "/t/" + string(token)
}

// JpegMark is how every JPEG begins.
const JpegMark = "\xff\xd8\xff"

// photograph is a small picture.
func photograph(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// SeatedToken seats an assessor, or at a closed study finds one who was seated.
func (f *Fixture) SeatedToken(id panel.StudyID, join panel.JoinToken) panel.SeatToken {
	f.T.Helper()
	stored, err := f.Svc.Study(f.T.Context(), id)
	f.Must(err)
	nonce := "a-guest-with-a-link-of-their-own"
	if stored.State == panel.Closed {
		nonce = "nonce-of-a-guest-0" // seated before it was closed
	}
	token, err := f.Svc.Consent(f.T.Context(), join, nonce, panel.PhoneConsent{})
	f.Must(err)
	return token
}
