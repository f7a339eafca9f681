package desk_test

import (
	"archive/zip"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/server/desk"
	"cloche/internal/server/servertest"
	"cloche/internal/store"
)

// TestThePackageOfTheButtonMoves takes what the button gives on another service, the first time and
// once a download stands in the log: what was recorded comes out the same there.
func TestThePackageOfTheButtonMoves(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Unseeded, panel.Closed)
	lead := f.Lead()
	for range 2 {
		body := lead.Get("/studies/" + string(id) + "/data.zip?licence=CC0-1.0&authors=R.+Öst").Body
		files, err := zip.NewReader(strings.NewReader(body), int64(len(body)))
		f.Must(err)
		m, err := datapackage.Moving(files)
		f.Must(err)
		kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "other.db"))
		f.Must(err)
		defer kept.Close()
		svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
		f.Must(err)
		f.Must(svc.TakeWhole(t.Context(), servertest.ByLead, m.ID, m.Lines))
		d, err := desk.Collect(t.Context(), svc, id, time.Now())
		f.Must(err)
		same, record, worded, err := m.Again(d)
		if err != nil || same < 20 || len(record)+len(worded) > 0 {
			t.Errorf("%d files are the same; recorded otherwise %v, worded otherwise %v, %v", same, record, worded, err)
		}
	}
}
