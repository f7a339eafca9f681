package site

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/words"
)

func TestErrorPagesSayWhatToDo(t *testing.T) {
	const hidden = "the title that nobody may read"
	for _, tc := range []struct {
		name   string
		err    error
		status int
	}{
		{"not found", panel.ErrNotFound, http.StatusNotFound},
		{"full", panel.ErrFull, http.StatusConflict},
		{"not open", panel.ErrNotOpen, http.StatusConflict},
		{"wrong state", panel.ErrWrongState, http.StatusConflict},
		{"not yet", &panel.NotYetError{What: "this cannot be run", Do: "leave it out"}, http.StatusUnprocessableEntity},
		{"too large", fmt.Errorf("read: %w", &http.MaxBytesError{Limit: 1}), http.StatusRequestEntityTooLarge},
		{"ours", fmt.Errorf("disk %s", hidden), http.StatusInternalServerError},
	} {
		t.Run(tc.name, func(t *testing.T) {
			for _, toLead := range []bool{false, true} {
				r := Assessor
				if toLead {
					r = Lead
				}
				status, page := explain(fmt.Errorf("while doing something: %w", tc.err), r, words.In("en"))
				said := append([]string{page.Heading, page.OnwardText, http.StatusText(status)}, page.Text...)
				if status != tc.status {
					t.Errorf("status %d, want %d", status, tc.status)
				}
				all := strings.Join(said, " ")
				if len(said) < 4 || strings.Contains(all, "while doing") || strings.Contains(all, hidden) {
					t.Errorf("words %q hold the cause, or nothing", all)
				}
			}
		})
	}
}
