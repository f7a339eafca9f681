package site

import (
	"errors"
	"net/http"

	"cloche/internal/panel"
)

// deskErrors are errors of the library, with what lead and partner read of them.
var deskErrors = []struct {
	err           error
	status        int
	heading, text string
}{
	{panel.ErrStale, http.StatusConflict, "The study has changed since you read it",
		"Somebody, or you in another window, has changed it. Open the study again and look: nothing was done now."},
	{panel.ErrMistakes, http.StatusUnprocessableEntity, "The study has mistakes",
		"Mend them first: the study's page lists each of them."},
	{panel.ErrNotExported, http.StatusConflict, "Export the study first",
		"Something has changed since the study was last exported, or it never was. Download it, then delete it."},
	{panel.ErrAmended, http.StatusConflict, "A later version rests on this one",
		"The study was amended. Go on with the last version; to delete, begin with that one."},
	{panel.ErrRefused, http.StatusForbidden, "This is for the partner alone",
		"You are signed in as the lead. The partner signs the plan, on the same page."},
	{panel.ErrEarlierOpen, http.StatusConflict, "An earlier version is open",
		"People are tasting by the plan before this one. Close that version first, then open this one."},
}

func explainsToDesk(err error) bool {
	for _, known := range deskErrors {
		if errors.Is(err, known.err) {
			return true
		}
	}
	return false
}

func explainToDesk(err error) (int, notice) {
	for _, known := range deskErrors {
		if errors.Is(err, known.err) {
			return known.status, notice{Heading: known.heading, Text: []string{known.text}, Onward: "/studies",
				OnwardText: "All studies"}
		}
	}
	return http.StatusInternalServerError, notice{}
}
