package panel

import (
	"cmp"
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/design"
	"cloche/internal/study"
)

// Service runs studies. Its methods are safe for concurrent use.
type Service struct {
	store    Store
	now      func() time.Time
	random   io.Reader
	hashCost int
	secret   []byte
	slow     *guessLimiter
	arrivals arrivals
	joins    joins
	watch    watchers
	blind    blindAsks
	claims   claims
	handed   handedOver
	tablets  handedOver // codes for the house's tablet
	read     sync.Map   // the [wasRead] of each study, by its id
	heard    sync.Map   // when the phone of an assessor of an open study last asked for something, by id
	started  time.Time
	findings keptFindings
	lines    chan struct{} // that lines are missing, for [Service.KeepVerdictLines]

	others Others   // services on the same database
	told   lastTold // which phones they were told are heard from

	noDigest func() string // of a password that nobody has

	unpacking chan struct{} // holds one while a picture is unpacked
}

// Options are what a service takes from its surroundings. The zero value is
// that of a service that runs for real.
type Options struct {
	Now    func() time.Time // the clock; nil is the machine's
	Random io.Reader        // a cryptographic source; nil is the machine's
	// HashCost is how dear it is to try a password, as bcrypt counts it: each
	// step doubles the work. 0 is bcrypt's usual cost; a test needs no more than
	// [bcrypt.MinCost].
	HashCost int
	Others   Others // services on the same database; nil when this one has it alone
}

// New returns a service on a store. The service's secret is made on first use
// of the store and kept there.
func New(ctx context.Context, store Store, o Options) (*Service, error) {
	s := &Service{store: store, now: o.Now, random: o.Random, hashCost: cmp.Or(o.HashCost, bcrypt.DefaultCost)}
	if s.now == nil {
		s.now = time.Now
	}
	if s.random == nil {
		s.random = rand.Reader
	}
	s.started = s.now()
	s.slow = newGuessLimiter(s.now)
	s.slow.tell = func(wrong, right string) { s.tellOthers(message{Wrong: wrong, Right: right}) }
	s.others = o.Others
	if s.others == nil {
		s.others = noOthers{}
	}
	s.noDigest = sync.OnceValue(func() string {
		digest, _ := s.digestOf(rand.Text())
		return digest
	})
	s.unpacking = make(chan struct{}, 1)
	s.lines = make(chan struct{}, 1)
	fresh, err := s.token(32)
	if err != nil {
		return nil, fmt.Errorf("make the service's secret: %w", err)
	}
	if _, err := store.SetSetting(ctx, "secret", fresh); err != nil {
		return nil, fmt.Errorf("keep the service's secret: %w", err)
	}
	kept, err := store.Setting(ctx, "secret")
	if err != nil {
		return nil, fmt.Errorf("read the service's secret: %w", err)
	}
	s.secret = []byte(kept)
	s.others.Hear(ctx, s.hearOthers)
	return s, nil
}

// idLetters writes random bytes for links, pages and the command line: no letter that
// is mistaken for another, and none that begins a flag.
var idLetters = base32.NewEncoding("abcdefghijkmnpqrstuvwxyz23456789").WithPadding(base32.NoPadding)

// token returns n random bytes as text.
func (s *Service) token(n int) (string, error) {
	b := make([]byte, n)
	if _, err := io.ReadFull(s.random, b); err != nil {
		return "", err
	}
	return idLetters.EncodeToString(b), nil
}

// Ready reports whether answers can be kept now: it writes.
func (s *Service) Ready(ctx context.Context) error { return s.store.Ready(ctx, s.now()) }

// Nonce returns a fresh one-time word for a form, so that sending the form
// twice does once what it says.
func (s *Service) Nonce() (string, error) { return s.token(16) }

// derive returns the unguessable token that belongs to parts, the same each time.
func (s *Service) derive(parts ...string) string {
	mac := hmac.New(sha256.New, s.secret)
	for _, p := range parts {
		_ = binary.Write(mac, binary.BigEndian, uint64(len(p))) // a hash never fails
		mac.Write([]byte(p))
	}
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil)[:24])
}

// TokenHash is what is stored of a token, so that who reads the database holds no token.
type TokenHash string

func hash[Token ~string](token Token) TokenHash {
	sum := sha256.Sum256([]byte(token))
	return TokenHash(hex.EncodeToString(sum[:]))
}

// log appends an event; a failure is the caller's failure, so that nothing that
// matters goes unlogged.
func (s *Service) log(ctx context.Context, studyID StudyID, who, what, detail string) error {
	if err := s.store.AppendEvent(ctx, s.event(studyID, who, what, detail)); err != nil {
		return fmt.Errorf("log %q: %w", what, err)
	}
	return nil
}

// event is an entry of the log as of now.
func (s *Service) event(studyID StudyID, who, what, detail string) Event {
	return Event{At: s.now(), StudyID: studyID, Who: who, What: what, Detail: detail}
}

// Study returns a study by id, or [ErrNotFound].
func (s *Service) Study(ctx context.Context, id StudyID) (Study, error) {
	stored, err := s.store.Study(ctx, id)
	if err != nil {
		return Study{}, err
	}
	return s.asked(stored)
}

// Studies returns every study, newest first, with what [Study.Listed] leaves of it, and what it asks for.
func (s *Service) Studies(ctx context.Context) ([]Study, error) {
	kept, err := s.store.Studies(ctx)
	if err != nil {
		return nil, err
	}
	listed := kept[:0]
	for _, x := range kept {
		x, err = s.listed(ctx, x)
		switch {
		case isMissing(err): // deleted since
			continue
		case err != nil:
			return nil, err
		}
		listed = append(listed, x)
	}
	return listed, nil
}

// Upload keeps a study file as a draft. Problems are those of the file; the
// study is kept only when there are none.
func (s *Service) Upload(ctx context.Context, by Session, name string, file []byte) (Study, []study.Problem, error) {
	parsed, problems := study.Parse(name, file)
	if len(problems) > 0 {
		return Study{}, problems, nil
	}
	stored, err := s.Begin(ctx, by, file, parsed.Title)
	return stored, nil, err
}

// Preview draws the plan that locking would fix, with the study's seed or, when
// it has none, a fresh one. [ErrMistakes] when the study has some.
func (s *Service) Preview(ctx context.Context, id StudyID) (Study, *design.Plan, error) {
	stored, err := s.Study(ctx, id)
	if err != nil {
		return Study{}, nil, err
	}
	plan, err := s.draw(stored, false)
	return stored, plan, err
}

// draw draws the plan of a draft: the one that is locked or, to look at, with the samples
// that would be dealt on arrival if newcomers came from all strata in turn.
func (s *Service) draw(stored Study, lock bool) (*design.Plan, error) {
	if err := stored.Sound(); err != nil {
		return nil, err
	}
	if err := canRun(stored.Spec); err != nil {
		return nil, err
	}
	seed := stored.Spec.Serving.Seed
	if !stored.Spec.Serving.HasSeed {
		var b [8]byte
		if _, err := io.ReadFull(s.random, b[:]); err != nil {
			return nil, fmt.Errorf("draw a seed: %w", err)
		}
		seed = binary.BigEndian.Uint64(b[:]) >> 11 // 53 bits: exact in JSON readers
	}
	fixed, err := design.Draw(stored.Spec, lockedPlan(stored.Spec, seed, 0))
	if err != nil || lock || !fixed.OnArrival {
		return fixed, err
	}
	return design.Draw(stored.Spec, design.Options{Seed: seed})
}

// lockedPlan are the choices by which the plan of a locked study is drawn.
func lockedPlan(a *study.Study, seed uint64, engine int) design.Options {
	return design.Options{Seed: seed, Engine: engine, OnArrival: a.Serving.DealtOnArrival()}
}

// canRun says what this service cannot run yet, or nil.
func canRun(a *study.Study) error {
	if !Runs(a.Question) {
		return &NotYetError{"this kind of test cannot be run on phones yet",
			"draw the plan with “cloche plan” and record the answers on paper"}
	}
	return nil
}

// Lock fixes study, seed and serving plan. revision is that of the draft as it was
// read: [ErrStale] when it has moved on since. [ErrWrongState] when it is no
// draft, [ErrMistakes] while it has some.
//
// The study's hash is that of the study as it is written. A seed that was drawn is
// not in it: whoever knows the seed can draw the key. The plan's hash fixes what
// was drawn.
func (s *Service) Lock(ctx context.Context, by Session, id StudyID, revision int) error {
	if err := by.may(ActLock); err != nil {
		return err
	}
	stored, err := s.Study(ctx, id)
	if err != nil {
		return err
	}
	switch {
	case stored.State != Draft:
		return ErrWrongState
	case stored.Revision != revision:
		return ErrStale
	}
	plan, err := s.draw(stored, true)
	if err != nil {
		return err
	}
	turns, err := s.turns(stored, plan)
	if err != nil {
		return err
	}
	lock := Lock{
		At: s.now(), Seed: plan.Seed, Engine: plan.Engine,
		StudyHash: study.Hash(stored.Spec), PlanHash: plan.Hash(),
	}
	e := s.event(id, by.Who(), "locked", "study "+lock.StudyHash+", plan "+lock.PlanHash)
	if err := s.store.LockStudy(ctx, id, revision, lock, turns, spares(plan), e); err != nil {
		return fmt.Errorf("lock study: %w", err)
	}
	return nil
}

// FixedPlan draws the plan of a locked study again, with the engine that drew it,
// and checks it against the hash that was fixed.
func (s Study) FixedPlan() (*design.Plan, error) {
	plan, err := design.Draw(s.Spec, lockedPlan(s.Spec, s.Lock.Seed, s.Lock.Engine))
	if err != nil {
		return nil, fmt.Errorf("redraw the plan of study %s: %w", s.ID, err)
	}
	if got := plan.Hash(); got != s.Lock.PlanHash {
		return nil, fmt.Errorf("redraw the plan of study %s: its hash is %s, locked was %s", s.ID, got, s.Lock.PlanHash)
	}
	return plan, nil
}

// turns turns a plan into what is kept, under random ids.
func (s *Service) turns(stored Study, plan *design.Plan) ([]Turn, error) {
	var all []Turn
	for place := range plan.Assessors {
		for _, t := range turnsAt(stored.Spec, plan, place) {
			if err := s.name(&t); err != nil {
				return nil, err
			}
			t.StudyID = stored.ID
			all = append(all, t)
		}
	}
	return all, nil
}

// name gives a turn and its servings random ids.
func (s *Service) name(t *Turn) error {
	id, err := s.token(12)
	if err != nil {
		return err
	}
	t.ID = TurnID(id)
	for i := range t.Servings {
		if id, err = s.token(12); err != nil {
			return err
		}
		t.Servings[i].ID, t.Servings[i].TurnID = ServingID(id), t.ID
	}
	return nil
}

// turnsAt are the turns of a plan at a place, still without ids.
func turnsAt(a *study.Study, plan *design.Plan, place int) []Turn {
	var all []Turn
	for planned := range plan.Turns(place) {
		t := Turn{Place: place, Order: len(all), Sitting: int(planned.Sitting), Role: planned.Role,
			Response: planned.Response(a.Question)}
		for i, v := range planned.Servings {
			var sample study.SampleID // "" until it is dealt
			if v.Sample != design.Undealt {
				sample = plan.Samples[v.Sample]
			}
			if planned.Role == design.Expected {
				x, _ := a.Sample(sample)
				t.Name = x.Name
				continue
			}
			t.Servings = append(t.Servings, Serving{Order: i, Role: v.Role, Position: int(v.Position), Sample: sample,
				Code: v.Code})
		}
		all = append(all, t)
	}
	return all
}

// spares are the codes for dropped plates that were drawn with the plan.
func spares(plan *design.Plan) []Spare {
	var all []Spare
	for i, codes := range plan.Spares {
		for order, code := range codes {
			all = append(all, Spare{Sitting: i + 1, Order: order, Code: code})
		}
	}
	return all
}

// Close ends an open study and opens its key. It cannot be undone.
func (s *Service) Close(ctx context.Context, by Session, studyID StudyID) error {
	if err := by.may(ActClose); err != nil {
		return err
	}
	e := s.event(studyID, by.Who(), "closed", "key opened")
	if err := s.store.CloseStudy(ctx, studyID, e.At, e); err != nil {
		return fmt.Errorf("close study: %w", err)
	}
	s.changed(studyID)
	s.WantVerdictLines()
	_ = s.keepDifferences(ctx, studyID) // the study is closed all the same, and [Service.EarlierSpread] makes up for it
	people, err := s.store.Assessors(ctx, studyID)
	s.forget(people)
	return err
}

// Progress returns how much there is of a study.
func (s *Service) Progress(ctx context.Context, studyID StudyID) (Study, Progress, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Study{}, Progress{}, err
	}
	p, err := s.store.Progress(ctx, studyID)
	return stored, p, err
}

// Log returns the log of a study, oldest entry first, and whether it is whole; studyID ""
// is the log of the service, which the owner alone reads: it says what was done in every study.
func (s *Service) Log(ctx context.Context, by Session, studyID StudyID) (CheckedLog, error) {
	if err := by.may(ActReadLog); err != nil {
		return CheckedLog{}, err
	}
	if studyID == "" && !by.Owner {
		return CheckedLog{}, ErrRefused
	}
	return CheckLog(ctx, s.store, studyID)
}

// NoteStart logs that a service began to work on this database, and its settings.
func (s *Service) NoteStart(ctx context.Context, settings string) error {
	return s.log(ctx, "", "the service", "started", settings)
}

// isMissing reports whether err says that a thing is not there.
func isMissing(err error) bool { return errors.Is(err, ErrNotFound) }
