package site

import (
	"net/http"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/words"
)

// explained are the errors that have a row.
var explained = []error{&panel.FreedError{Join: "link"}, &panel.NotYetError{What: "it is so", Do: "do this"},
	&http.MaxBytesError{Limit: 1}, panel.ErrUnavailable, panel.ErrSlowDown, errNotLead, ErrSignIn, ErrRefused,
	errNotOwner, ErrForeign, ErrNotShared, ErrForm, panel.ErrNotFound, panel.ErrOtherCode, panel.ErrNotYet,
	panel.ErrOverAlready,
	panel.ErrWithdrawn,
	panel.ErrRated, panel.ErrTasted, panel.ErrEarly, panel.ErrNotOpen, panel.ErrGroupFull, panel.ErrFull,
	panel.ErrNoSpare, panel.ErrSamePerson,
	panel.ErrBadValue, panel.ErrWrongState, panel.ErrStale, panel.ErrChanging, panel.ErrMistakes, panel.ErrNotExported,
	panel.ErrAmended,
	panel.ErrRefused, panel.ErrEarlierOpen, analysis.ErrNoRatings}

// TestEveryExplanationIsReadBySomebody: each row is the first that fits some error and
// role, and none is without words.
func TestEveryExplanationIsReadBySomebody(t *testing.T) {
	read := make([]bool, len(explanations))
	for _, err := range explained {
		for r := Anyone; r <= Owner; r <<= 1 {
			for i, x := range explanations {
				if x.to&r == 0 || !x.of(err) {
					continue
				}
				read[i] = true
				n := x.page(words.In("de"), err)
				if n.Heading == "" || len(n.Text) == 0 || n.Text[0] == "" || x.status < 400 {
					t.Errorf("%s reads of %v: %d %+v", r, err, x.status, n)
				}
				break
			}
		}
	}
	for i, x := range explanations {
		if !read[i] {
			t.Errorf("row %d, with status %d, is read by nobody: another one stands before it", i, x.status)
		}
	}
}
