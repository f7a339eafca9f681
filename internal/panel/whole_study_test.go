package panel_test

import (
	"bytes"
	"errors"
	"testing"

	"cloche/internal/panel"
)

// TestAStudyIsReadAtOneMoment: what changes a study while it is read has it read again; what always
// does is said.
func TestAStudyIsReadAtOneMoment(t *testing.T) {
	n := newNight(t, custard)
	token := n.guest("one")
	n.taste(token)
	_, err := n.svc.ReadWhole(t.Context(), n.study, func() error { return nil })
	n.wantError("while it is open", err, panel.ErrWrongState)
	n.must(n.svc.Close(t.Context(), byLead, n.study))

	var read panel.Collected
	times := 0
	whole, err := n.svc.ReadWhole(t.Context(), n.study, func() (err error) {
		times++
		_, read, err = n.svc.Collected(t.Context(), n.study)
		if times == 1 { // behind what was just read
			n.must(n.svc.Withdraw(t.Context(), token))
		}
		return err
	})
	n.must(err)
	if times != 2 || len(read.Answers) != 0 || bytes.Contains(whole, []byte(`"table":"answers"`)) {
		t.Errorf("read %d times; %d answers are in the tables, and the whole study holds\n%s", times,
			len(read.Answers), whole)
	}

	_, err = n.svc.ReadWhole(t.Context(), n.study, func() error {
		return n.svc.NoteDownload(t.Context(), n.lead, n.study, "ratings.csv")
	})
	n.wantError("what always changes", err, panel.ErrChanging)
	failed := errors.New("cannot be read")
	_, err = n.svc.ReadWhole(t.Context(), n.study, func() error { return failed })
	n.wantError("what fails", err, failed)
}
