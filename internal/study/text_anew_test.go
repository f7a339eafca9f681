package study

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// An edit that has to write more than it changes says so; any other does not.
func TestTextSaysWhatItWroteAnew(t *testing.T) {
	for _, tc := range []struct {
		name, edit, before, after string
		rewritten                 bool
	}{
		{"plain lines", "set title = x", "title:   a # once\nb:  1\n", "title: x # once\nb:  1\n", false},
		{"lines that all end alike", "set title = x", "\ufefftitle: a\r\nb:  1\r\n", "\ufefftitle: x\r\nb:  1\r\n",
			false},
		{"no end of the last line", "set title = x", "title: a\nb:  1", "title: x\nb:  1", false},
		{"no end of a comment", "set title = x", "# a", "# a\ncloche: 1\ntitle: x\n", false},
		{"lines that end in two ways", "set title = x", "title: a\nb:  1\r\n# c\n", "title: x\r\nb:  1\r\n# c\r\n",
			true},
		{"a file in brackets", "set title = x", "{title: a, # first\n b: [1,  2]} # last\n",
			"# first\n# last\ntitle: x\nb: [1, 2]\n", true},
		{"brackets beside the mark of a document", "set title = x", "--- {title: a}\n", "title: x\n", true},
		{"brackets in several lines", "set l[0] = x", "l: [a,\n  c] # d\ne:  1\n", "l: [x, c] # d\ne:  1\n", true},
		{"brackets in several lines that go", "set l = x", "l: [a,\n  c] # d\ne:  1\n", "l: x # d\ne:  1\n", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			text := open(t, tc.before)
			if text.Rewritten() {
				t.Error("rewritten before any edit")
			}
			if err := edit(t, text, tc.edit); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tc.after, string(text.Bytes())); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if text.Rewritten() != tc.rewritten {
				t.Errorf("Rewritten() = %v", text.Rewritten())
			}
			if err := text.Set("z", "2"); err != nil || text.Rewritten() != tc.rewritten {
				t.Errorf("after another edit: %v, Rewritten() = %v", err, text.Rewritten())
			}
		})
	}
}

// A change to a list of words keeps what stands between the words that stay.
func TestSetListKeepsWhatIsBetween(t *testing.T) {
	const src = "a:\n  - x # ex\n  # far\n\n  - y\n\n  # of z\n  - z\nb: 1\n"
	for _, tc := range []struct{ values, want string }{
		{"z | x | y", "a:\n  # of z\n  - z\n  # far\n\n  - x # ex\n\n  - y\nb: 1\n"},
		{"z", "a:\n  # of z\n  - z\n  # far\nb: 1\n"},
		{"x | v | z | w", "a:\n  - x # ex\n  # far\n\n  - v\n\n  # of z\n  - z\n  - w\nb: 1\n"},
		{"w | x", "a:\n  - w\n  - x # ex\n  # far\nb: 1\n"},
	} {
		text := open(t, src)
		if err := text.SetList("a", strings.Split(tc.values, " | ")); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tc.want, string(text.Bytes())); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tc.values, diff)
		}
	}
}
