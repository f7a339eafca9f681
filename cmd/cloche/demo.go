package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/analysis"
	"cloche/internal/datapackage"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/desk"
	"cloche/internal/store"
	"cloche/internal/study"
	"cloche/studies"
)

func newDemoCommand() *cobra.Command {
	var address string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Run the service with an invented restaurant, in a temporary folder",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return demo(cmd.Context(), address, cmd.OutOrStdout(), cmd.ErrOrStderr())
		},
	}
	cmd.Flags().StringVar(&address, "listen", "",
		"address to listen on (default :8080, or a free port when that is taken)")
	return cmd
}

// demo serves two invented studies, one closed and one open, until ctx ends.
func demo(ctx context.Context, address string, stdout, stderr io.Writer) error {
	dir, err := os.MkdirTemp("", "cloche-demo-")
	if err != nil {
		return fmt.Errorf("make a temporary folder: %w", err)
	}
	defer os.RemoveAll(dir)
	kept, err := store.Open(ctx, filepath.Join(dir, "demo.db"))
	if err != nil {
		return err
	}
	defer kept.Close()
	listener, err := demoListener(address)
	if err != nil {
		return err
	}
	base := withPort("http://"+localHost(address), "", listener.Addr())
	set, err := setTable(ctx, kept)
	if err != nil {
		return err
	}
	svc, err := panel.New(ctx, kept, panel.Options{})
	if err != nil {
		return err
	}
	if err := joinEvenings(ctx, svc, dir); err != nil {
		return err
	}
	if err := printDemo(stdout, base, set); err != nil {
		return err
	}
	return listen(ctx, listener, svc, server.Options{URL: base, Invented: true,
		Log: slog.New(slog.NewTextHandler(stderr, nil))})
}

// demoListener listens on address or, when none was asked for, on :8080 or
// else any free port.
func demoListener(address string) (net.Listener, error) {
	asked := address
	if asked == "" {
		asked = ":8080"
	}
	l, err := net.Listen("tcp", asked)
	if address == "" && errors.Is(err, syscall.EADDRINUSE) {
		l, err = net.Listen("tcp", ":0")
	}
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w; choose another address with --listen", asked, err)
	}
	return l, nil
}

// table is what the demo has prepared.
type table struct {
	password string
	closed   panel.StudyID       // id of the closed study
	open     panel.StudyID       // id of the open study
	join     panel.JoinToken     // token of the open study's join link
	staff    []panel.StaffAccess // kitchen and floor of the open study
}

// setTable fills the store: a study that was run and closed yesterday evening,
// and one that is open now. Both pass through the service as real ones do.
func setTable(ctx context.Context, kept panel.Store) (table, error) {
	evening := &past{at: time.Now().Add(-26 * time.Hour)}
	svc, err := panel.New(ctx, kept, panel.Options{Now: evening.now})
	if err != nil {
		return table{}, err
	}
	var t table
	if t.password, err = demoPassword(); err != nil {
		return table{}, err
	}
	if err := svc.SetPassword(ctx, demoOwner, t.password); err != nil {
		return table{}, fmt.Errorf("set the demo's password: %w", err)
	}
	closed, _, err := openStudy(ctx, svc, telling(studies.CeleriacCustard))
	if err != nil {
		return table{}, err
	}
	if err := taste(ctx, svc, closed, evening, analysis.CustardEvenings()[0]); err != nil {
		return table{}, err
	}
	if err := svc.Close(ctx, panel.Session{Role: panel.RoleLead}, closed.StudyID); err != nil {
		return table{}, err
	}
	evening.at = time.Now()
	// Without its seed the open study draws one of its own, so that the closed
	// study's key says nothing of it.
	open, _, err := openStudy(ctx, svc, bytes.Replace(telling(studies.CeleriacCustard), []byte("\n  seed: 20261125\n"),
		[]byte("\n"), 1))
	if err != nil {
		return table{}, err
	}
	t.closed, t.open, t.join = closed.StudyID, open.StudyID, open.Join
	t.staff, err = svc.StaffAccess(ctx, panel.Session{Role: panel.RoleLead}, open.ID)
	return t, err
}

// demoOwner is the name of who owns the demo; invented, as all of it is.
const demoOwner = "Ottilie"

// telling is a study whose guests read after the close what was found.
func telling(file []byte) []byte {
	return bytes.Replace(file, []byte("\npanel:\n"), []byte("\npanel:\n  tell result: true\n"), 1)
}

// past is a clock that the demo sets by hand.
type past struct {
	mu sync.Mutex
	at time.Time
}

func (p *past) now() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.at
}

func (p *past) pass(d time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.at = p.at.Add(d)
}

func demoPassword() (string, error) {
	b := make([]byte, 10)
	if _, err := rand.Read(b); err != nil {
		return "", fmt.Errorf("make the demo's password: %w", err)
	}
	return strings.ToLower(base32.StdEncoding.EncodeToString(b)), nil
}

// openStudy uploads a study file, locks it and opens its sitting.
func openStudy(ctx context.Context, svc *panel.Service, file []byte) (panel.Sitting, *study.Study, error) {
	stored, problems, err := svc.Upload(ctx, panel.Session{Role: panel.RoleLead}, "celeriac-custard.yaml", file)
	if err != nil {
		return panel.Sitting{}, nil, err
	}
	if len(problems) > 0 {
		return panel.Sitting{}, nil, problems[0]
	}
	if err := svc.Lock(ctx, panel.Session{Role: panel.RoleLead}, stored.ID, stored.Revision); err != nil {
		return panel.Sitting{}, nil, err
	}
	sitting, err := svc.OpenSitting(ctx, panel.Session{Role: panel.RoleLead}, stored.ID)
	return sitting, stored.Spec, err
}

// joinEvenings lets the study's invented evenings in other houses join the record: each is run by a service of its
// own, in a database in dir, and comes as its data package.
func joinEvenings(ctx context.Context, svc *panel.Service, dir string) error {
	for i, e := range analysis.CustardEvenings() {
		if e.House == "" {
			continue
		}
		file, err := packageOfEvening(ctx, filepath.Join(dir, fmt.Sprintf("elsewhere-%d.db", i)), e,
			time.Now().AddDate(0, 0, -7*i))
		if err != nil {
			return fmt.Errorf("the evening at %s: %w", e.House, err)
		}
		joined, err := datapackage.Receive(file)
		if err != nil {
			return fmt.Errorf("receive the evening at %s: %w", e.House, err)
		}
		joined.House = e.House
		if err := svc.JoinRecord(ctx, panel.Session{Role: panel.RoleLead}, joined); err != nil {
			return fmt.Errorf("join the evening at %s: %w", e.House, err)
		}
	}
	return nil
}

// packageOfEvening runs an evening in a database of its own and packs it, as its lead would.
func packageOfEvening(ctx context.Context, database string, e analysis.Evening, at time.Time) ([]byte, error) {
	kept, err := store.Open(ctx, database)
	if err != nil {
		return nil, err
	}
	defer kept.Close()
	clock := &past{at: at}
	svc, err := panel.New(ctx, kept, panel.Options{Now: clock.now})
	if err != nil {
		return nil, err
	}
	seed := []byte("\n  seed: 20261125\n")
	if !bytes.Contains(studies.CeleriacCustard, seed) {
		return nil, fmt.Errorf("the example has no line %q that another seed could stand in", bytes.TrimSpace(seed))
	}
	sitting, _, err := openStudy(ctx, svc, bytes.Replace(studies.CeleriacCustard, seed,
		fmt.Appendf(nil, "\n  seed: %d\n", e.Seed), 1))
	if err != nil {
		return nil, err
	}
	if err := taste(ctx, svc, sitting, clock, e); err != nil {
		return nil, err
	}
	if err := svc.Close(ctx, panel.Session{Role: panel.RoleLead}, sitting.StudyID); err != nil {
		return nil, err
	}
	d, err := desk.Collect(ctx, svc, sitting.StudyID, clock.now())
	if err != nil {
		return nil, err
	}
	var file bytes.Buffer
	err = datapackage.Zip(&file, clock.now(), func(put func(datapackage.File) error) error {
		return datapackage.Write(d, put)
	})
	return file.Bytes(), err
}

// taste lets the invented panel of an evening taste: every rating of [analysis.Simulate] goes
// through the ballots.
func taste(ctx context.Context, svc *panel.Service, sitting panel.Sitting, clock *past, e analysis.Evening) error {
	stored, err := svc.Study(ctx, sitting.StudyID)
	if err != nil {
		return err
	}
	plan, err := design.Draw(stored.Spec, design.Options{Seed: stored.Lock.Seed})
	if err != nil {
		return err
	}
	given := map[panel.PlateCodes]map[string]string{} // code → field → value
	for _, r := range analysis.Simulate(stored.Spec, plan, analysis.CustardTruthOf(e), e.Seed) {
		plate := panel.PlateCodes(r.Code)
		if given[plate] == nil {
			given[plate] = map[string]string{}
		}
		given[plate][fieldOf(stored.Spec, r.Attribute)] = strconv.FormatFloat(r.Value, 'g', -1, 64)
	}
	for place := range stored.Spec.Panel.Assessors {
		if err := fillBallot(ctx, svc, sitting.Join, strconv.Itoa(place), given, clock); err != nil {
			return fmt.Errorf("invented assessor %d: %w", place+1, err)
		}
	}
	return nil
}

// fieldOf is the name of an attribute on the ballot.
func fieldOf(s *study.Study, id study.AttributeID) string {
	for i, a := range s.Attributes {
		if a.ID == id {
			return fmt.Sprintf("a%d", i+1)
		}
	}
	return ""
}

// fillBallot takes one assessor from consent to the last serving.
func fillBallot(ctx context.Context, svc *panel.Service, join panel.JoinToken, nonce string,
	given map[panel.PlateCodes]map[string]string, clock *past) error {
	token, err := svc.Consent(ctx, join, nonce, panel.PhoneConsent{OldEnough: true})
	if err != nil {
		return err
	}
	if err := svc.Start(ctx, token); err != nil {
		return err
	}
	for {
		clock.pass(time.Minute)
		b, err := svc.Ballot(ctx, token)
		if err != nil || b.Stage == panel.StageDone {
			return err
		}
		if b.Stage == panel.StagePlate {
			if err := svc.OpenPlate(ctx, token, b.Gate.ID, string(b.Gate.Typed)); err != nil {
				return err
			}
		}
		if b.Stage != panel.StageServing {
			continue // a rinse pause, or the plate is open now
		}
		if _, err := svc.Submit(ctx, token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
			Given: given[b.Turn.Code]}); err != nil {
			return err
		}
	}
}

// printDemo prints the link of each role with its QR code.
func printDemo(w io.Writer, base string, t table) error {
	join, report := base+"/join/"+string(t.join), base+"/studies/"+string(t.closed)
	fmt.Fprint(w, "Cloche demo: an invented restaurant, invented ratings. Everything is deleted when you stop it "+
		"(Ctrl-C).\n\n")
	fmt.Fprintf(w, "ASSESSOR  taste in the open study, on a phone:\n  %s\n", join)
	if err := printQR(w, join); err != nil {
		return err
	}
	for _, a := range t.staff {
		link := base + "/staff/" + string(a.Link)
		fmt.Fprintf(w, "\n%-9s join the open sitting with the code %s:\n  %s\n", strings.ToUpper(a.Role.String()),
			a.Code, link)
		if err := printQR(w, link); err != nil {
			return err
		}
	}
	fmt.Fprintf(w, "\nLEAD      password: %s\n", t.password)
	fmt.Fprintf(w, "  the report of the closed study: %s\n  the board of the open study:    %s\n", report,
		base+"/studies/"+string(t.open))
	return printQR(w, report)
}
