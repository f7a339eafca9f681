package site

import (
	"errors"
	"net/http"

	"cloche/internal/panel"
)

var staffNoticeScreen = StaffScreen[notice]("site/staff_notice")

// staffNotices are the errors that kitchen and floor meet, with status and page.
// They say nothing of the study.
var staffNotices = []struct {
	err    error
	status int
	page   notice
}{
	{ErrSignIn, http.StatusForbidden, notice{Heading: "Join first",
		Text: []string{"Scan the code on the lead’s page, and type the six digits beside it. If you had joined: the lead has made a new one, or the evening is over."}}},
	{panel.ErrNotFound, http.StatusNotFound, notice{Heading: "That is not here now",
		Text: []string{"The seat or plate has moved on, perhaps from another phone. Go back and look again."}}},
	{panel.ErrOtherCode, http.StatusConflict, notice{Heading: "That is not the code of the plate now",
		Text: []string{"Nothing was changed. If another phone noted it as dropped, it has a new code: go back and look again."}}},
	{panel.ErrNotYet, http.StatusConflict, notice{Heading: "Not its turn yet",
		Text: []string{"The answers to an earlier serving of this seat have not arrived. The guest’s phone may be without network, or the scores are still to be entered."}}},
	{panel.ErrMoot, http.StatusConflict, notice{Heading: "That is over already",
		Text: []string{"The seat has moved on. Nothing was changed."}}},
	{panel.ErrWithdrawn, http.StatusConflict, notice{Heading: "The guest took the answers out",
		Text: []string{"Nothing more is noted for this seat."}}},
	{panel.ErrRated, http.StatusConflict, notice{Heading: "This serving has its answers already",
		Text: []string{"Nothing was changed. Go back and look again."}}},
	{panel.ErrTasted, http.StatusConflict, notice{Heading: "This guest has tasted",
		Text: []string{"The place stays taken. If the guest has left, note that instead."}}},
	{panel.ErrEarly, http.StatusConflict, notice{Heading: "The tasting is not open yet",
		Text: []string{"Nothing was changed. This works when the lead has opened the sitting."}}},
	{panel.ErrNotOpen, http.StatusConflict, notice{Heading: "The tasting is over",
		Text: []string{"The lead has closed it. Nothing can be changed any more."}}},
	{panel.ErrFull, http.StatusConflict, notice{Heading: "Every place is taken",
		Text: []string{"This tasting has no place left."}}},
	{panel.ErrNoSpare, http.StatusConflict, notice{Heading: "No spare code is left",
		Text: []string{"Ask the kitchen to plate it anew under the old code."}}},
	{panel.ErrBadValue, http.StatusUnprocessableEntity,
		notice{Heading: "That value cannot be", Text: []string{"Go back and look at what was typed."}}},
}

// ExplainsToStaff reports whether [ExplainToStaff] knows an error.
func ExplainsToStaff(err error) bool {
	status, _ := ExplainToStaff(err)
	return status != 0
}

// ExplainToStaff maps an error that kitchen and floor meet to status and page; 0
// for those that everybody meets.
func ExplainToStaff(err error) (int, notice) {
	for _, n := range staffNotices {
		if errors.Is(err, n.err) {
			return n.status, n.page
		}
	}
	return 0, notice{}
}
