package datapackage

import (
	"errors"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/studies"
)

// repacked packs a package again with some of its files changed, or gone.
func repacked(t *testing.T, files []File, change map[string]func([]byte) []byte) []byte {
	t.Helper()
	var kept []File
	for _, f := range files {
		if do := change[f.Name]; do != nil {
			if f.Bytes = do(f.Bytes); f.Bytes == nil {
				continue
			}
		}
		kept = append(kept, f)
	}
	packed, err := zipped(night, kept...)
	must(t, err)
	return packed
}

// TestReceiveFindsAnew: what is received of a package is what its ratings say, and the same
// package has the same id.
func TestReceiveFindsAnew(t *testing.T) {
	d := custard(t)
	files, err := Files(d)
	must(t, err)
	got, err := Receive(repacked(t, files, nil))
	must(t, err)
	if got.Origin != "abc" || !got.ClosedAt.Equal(night.Truncate(time.Second)) || len(got.ID) != 64 {
		t.Errorf("received %+v", got)
	}
	primary := d.Findings.Findings[0]
	var salt analysis.FoundDifference
	for _, f := range got.Found {
		if f.Decides {
			salt = f
		}
	}
	if salt.People != primary.N || salt.Difference != primary.Value || !salt.Invented {
		t.Errorf("received %+v, the finding was %g of %d", salt, primary.Value, primary.N)
	}
	again, err := Receive(repacked(t, files, map[string]func([]byte) []byte{
		"report.html": func([]byte) []byte { return []byte("made up") }}))
	must(t, err)
	if again.ID != got.ID {
		t.Error("the same ratings have another id")
	}
}

func TestReceiveRefuses(t *testing.T) {
	files, err := Files(custard(t))
	must(t, err)
	gone := func([]byte) []byte { return nil }
	more := func(b []byte) []byte { return append(b, "\n"...) }
	for name, tc := range map[string]struct {
		change map[string]func([]byte) []byte
		want   string
	}{
		"a study that is not closed": {map[string]func([]byte) []byte{"ratings.csv": gone}, "no ratings.csv"},
		"changed ratings": {map[string]func([]byte) []byte{"ratings.csv": more}, "ratings.csv is not as " +
			"it was"},
		"a changed study": {map[string]func([]byte) []byte{"study.yaml": more, "SHA256SUMS": func(b []byte) []byte {
			return b
		}}, "study.yaml is not as it was"},
		"no sums": {map[string]func([]byte) []byte{"SHA256SUMS": gone}, "study.yaml is not as it was"},
	} {
		_, err := Receive(repacked(t, files, tc.change))
		var wrong *PackageError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), tc.want) || wrong.Instead.Text == "" {
			t.Errorf("%s: %v, want %q", name, err, tc.want)
		}
	}
	for name, file := range map[string]string{"no ZIP": "cloche: 1", "nothing": ""} {
		if _, err := Receive([]byte(file)); err == nil || !strings.Contains(err.Error(), "no data package") {
			t.Errorf("%s: %v", name, err)
		}
	}
	other := strings.Replace(string(studies.CeleriacCustard), "alpha: 0.05", "alpha: 0.01", 1)
	if other == string(studies.CeleriacCustard) {
		t.Fatal("the example says no alpha any more")
	}
	locked := custard(t)
	d := ran(t, other)
	d.Study.Lock.StudyHash = locked.Study.Lock.StudyHash // registered was another study
	swapped, err := Files(d)
	must(t, err)
	if _, err := Receive(repacked(t, swapped, nil)); err == nil || !strings.Contains(err.Error(), "not the study "+
		"that was") {
		t.Errorf("another study than was locked: %v", err)
	}
}
