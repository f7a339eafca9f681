package study

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// files are the study files of the repository, which must be sound.
func files(t testing.TB) []string {
	t.Helper()
	var all []string
	for _, pattern := range []string{"../../studies/*.yaml", "../../testdata/study/*.yaml"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, found...)
	}
	if len(all) == 0 {
		t.Fatal("no study files found")
	}
	return all
}

func TestFormatReadsBack(t *testing.T) {
	for _, file := range files(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			s, problems := Parse(file, src)
			for _, p := range problems {
				t.Error(p)
			}
			if s == nil {
				t.Fatal("no study")
			}
			again, problems := Parse("formatted", Format(s))
			for _, p := range problems {
				t.Error(p)
			}
			if diff := cmp.Diff(s, again); diff != "" {
				t.Errorf("Parse(Format(s)) differs from s (-s +again):\n%s", diff)
			}
			if Hash(s) != Hash(again) {
				t.Errorf("hash of the formatted study %s, want %s", Hash(again), Hash(s))
			}
		})
	}
}

// A study that was not read from a file may hold space that a file would lose.
func TestFormatTrimsText(t *testing.T) {
	s := parse(t, read(t, "../../testdata/study/names.yaml"))
	s.Texts.Consent = "  You may\n stop. \n"
	if got := parse(t, string(Format(s))).Texts.Consent; got != "You may\n stop." {
		t.Errorf("read back as %q", got)
	}
}
