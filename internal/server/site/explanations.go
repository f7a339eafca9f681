package site

import (
	"errors"
	"net/http"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/words"
)

// explanation is what somebody reads of an error: what is wrong, and what to do.
type explanation struct {
	of     func(error) bool
	to     Role // for whom it is
	status int
	page   func(w words.Words, err error) notice // w is the language of an assessor's pages
}

// everybody is whoever has no explanation of their own before.
const everybody = ^Nobody

// explanations are the errors that pages explain. The first one that fits counts. What
// an assessor reads says nothing of the study, and what staff read neither.
var explanations = []explanation{
	{is(panel.ErrUnavailable), AtDesk, http.StatusServiceUnavailable, says("The database cannot be used at this moment",
		"It cannot be reached, is locked by another program, or its disk is full or cannot be written. Nothing that "+
			"was kept before is lost.",
		"Phones hold their answers and send them again. This page works again by itself once the database does.")},
	{is(panel.ErrUnavailable), everybody, http.StatusServiceUnavailable, translated(
		func(w words.Words) (string, []string) { return w.CannotKeep, []string{w.LeaveOpen, w.IfItGoesOn} })},
	{is(panel.ErrSlowDown), Assessor, http.StatusTooManyRequests, translated(
		func(w words.Words) (string, []string) { return w.TooMany, []string{w.TooManyText} })},
	{is(errNotLead), everybody, http.StatusForbidden, toStudies("This is for others",
		"Your role does not allow this: leads change studies, leads and partners download data, "+
			"monitors read. The owner of this service says who has which role.")},
	{is(errNotOwner), everybody, http.StatusForbidden, toStudies("This is for the owner alone",
		"The owner of this service adds users, ends them, says what role each has, and reads the service’s log.")},
	{is(ErrSignIn), InRoom, http.StatusForbidden, says("Join first",
		"Scan the code on the lead’s page, and type the six digits beside it. If you had joined: the lead has "+
			"made a new one, or the evening is over.")},
	{is(panel.ErrNotFound), InRoom, http.StatusNotFound, says("That is not here now",
		"The seat or plate has moved on, perhaps from another phone. Go back and look again.")},
	{is(panel.ErrOtherCode), InRoom, http.StatusConflict, says("That is not the code of the plate now",
		"Nothing was changed. If another phone noted it as dropped, it has a new code: go back and look again.")},
	{is(panel.ErrNotYet), InRoom, http.StatusConflict, says("Not its turn yet",
		"The answers to an earlier serving of this seat have not arrived. The guest’s phone may be without "+
			"network, or the scores are still to be entered.")},
	{is(panel.ErrOverAlready), InRoom, http.StatusConflict, says("That is over already",
		"The seat has moved on. Nothing was changed.")},
	{is(panel.ErrWithdrawn), InRoom, http.StatusConflict, says("This guest deleted their answers",
		"Nothing more is noted for this seat.")},
	{is(panel.ErrRated), InRoom, http.StatusConflict, says("This serving has its answers already",
		"Nothing was changed. Go back and look again.")},
	{is(panel.ErrTasted), InRoom, http.StatusConflict, says("This guest has tasted",
		"The place stays taken. If the guest has left, note that instead.")},
	{is(panel.ErrEarly), InRoom, http.StatusConflict, says("The tasting is not open yet",
		"Nothing was changed. This works when the lead has opened the sitting.")},
	{is(panel.ErrNotOpen), InRoom, http.StatusConflict, says("The tasting is over",
		"The lead has closed it. Nothing can be changed any more.")},
	{is(panel.ErrGroupFull), InRoom, http.StatusConflict, says("No place is left for this group",
		"Places that were freed are kept for the group of guests that they were dealt to. Nobody was seated.")},
	{is(panel.ErrFull), InRoom, http.StatusConflict, says("Every place is taken",
		"This tasting has no place left.")},
	{is(panel.ErrNoSpare), InRoom, http.StatusConflict, says("No spare code is left",
		"Ask the kitchen to plate it anew under the old code.")},
	{is(panel.ErrSamePerson), InRoom, http.StatusConflict, says("Somebody else has to agree",
		"You asked this yourself. Kitchen agrees on its own page, or another of the floor on theirs.")},
	{is(panel.ErrBadValue), InRoom, http.StatusUnprocessableEntity, says("That cannot be used here",
		"Go back and look at what was typed.")},

	{is(panel.ErrNotFound), AtDesk, http.StatusNotFound, toStudies("There is no such page",
		"The study may belong to another service.")},
	{as[*panel.FreedError], Assessor, http.StatusGone, freedNotice},
	{is(ErrNotShared), everybody, http.StatusNotFound, func(w words.Words, _ error) notice {
		return notice{Heading: w.Nowhere, Text: []string{w.Translate("A shared report is there until its day, or " +
			"until it is taken back. Ask whoever sent you the link for a new one.")}}
	}},
	{is(panel.ErrNotFound), everybody, http.StatusNotFound, nowhere},
	{is(ErrRefused), everybody, http.StatusNotFound, nowhere},
	{is(panel.ErrGroupFull), everybody, http.StatusConflict, func(w words.Words, _ error) notice {
		return notice{Heading: w.GroupFull, Text: []string{w.GroupFullText}}
	}},
	{is(panel.ErrFull), everybody, http.StatusConflict, func(w words.Words, _ error) notice { return FullNotice(w) }},
	{is(panel.ErrNotOpen), everybody, http.StatusConflict,
		func(w words.Words, _ error) notice { return notOpenNotice(w) }},
	{is(panel.ErrWrongState), everybody, http.StatusConflict, toStudies("Not in this state",
		"The study has moved on, or is not that far yet. What you asked for needs another state: draft, locked, "+
			"open, closed.")},

	{is(panel.ErrStale), AtDesk, http.StatusConflict, toStudies("The study has changed since you read it",
		"Somebody, or you in another window, has changed it. Open the study again and look: nothing was done now.")},
	{is(panel.ErrChanging), AtDesk, http.StatusConflict, toStudies("The study changes while it is read",
		"Answers, downloads or something else of it were noted again and again meanwhile, so that its files would not "+
			"have been of one moment. Nothing was given; try again in a moment.")},
	{is(panel.ErrMistakes), AtDesk, http.StatusUnprocessableEntity, toStudies("The study has mistakes",
		"Fix the mistakes first: the study’s page lists each of them.")},
	{is(panel.ErrNotExported), AtDesk, http.StatusConflict, toStudies("Export the study first",
		"Something has changed since the study was last exported, or it never was. Download it, then delete it.")},
	{is(panel.ErrAmended), AtDesk, http.StatusConflict, toStudies("A later version rests on this one",
		"The study was amended. Continue with the last version; to delete, start with that one.")},
	{is(panel.ErrRefused), AtDesk, http.StatusForbidden, toStudies("Your role does not allow this",
		"A partner signs the plan, and nobody changes what is the owner’s.")},
	{is(panel.ErrEarlierOpen), AtDesk, http.StatusConflict, toStudies("An earlier version is open",
		"People are tasting by the plan before this one. Close that version first, then open this one.")},

	{is(analysis.ErrNoRatings), everybody, http.StatusConflict, toStudies("There is nothing to find",
		"There are no ratings: nobody had rated a serving when the study was closed, or all answers were deleted.")},
	{as[*panel.NotYetError], everybody, http.StatusUnprocessableEntity, notYetNotice},
	{as[*http.MaxBytesError], AtDesk, http.StatusRequestEntityTooLarge, func(w words.Words, err error) notice {
		return notice{Heading: w.Translate("That is too long"), Text: []string{w.Translate(
			"A study file may hold at most %d KiB, a photo %d MiB.", MaxFile>>10, panel.MaxPhoto>>20)}}
	}},
	{as[*http.MaxBytesError], everybody, http.StatusRequestEntityTooLarge, translated(
		func(w words.Words) (string, []string) { return w.TooMuch, []string{w.WriteLess} })},
	{is(ErrForeign), everybody, http.StatusForbidden, translated(
		func(w words.Words) (string, []string) { return w.Foreign, []string{w.FromHere} })},
	{is(ErrForm), everybody, http.StatusBadRequest, translated(
		func(w words.Words) (string, []string) { return w.NotWhole, []string{w.SendAgain} })},
}

// explain is the one place that maps kinds of error to status and page.
func explain(err error, r Role, w words.Words) (int, notice) {
	for _, x := range explanations {
		if (x.to&r != 0 || x.to == everybody) && x.of(err) {
			return x.status, x.page(w, err)
		}
	}
	return http.StatusInternalServerError, notice{Heading: w.OurFault, Text: []string{w.TryAgain}}
}

// ExplainToStaff maps an error that kitchen and floor meet to status and page; 0 for
// those that everybody meets.
func ExplainToStaff(w Tongue, err error) (int, notice) {
	for _, x := range explanations {
		if x.to == InRoom && x.of(err) {
			return x.status, x.page(w, err)
		}
	}
	return 0, notice{}
}

func is(target error) func(error) bool {
	return func(err error) bool { return errors.Is(err, target) }
}

func as[T error](err error) bool {
	var found T
	return errors.As(err, &found)
}

// says is a page for whoever works here, in their language; its words are English here.
func says(heading string, text ...string) func(words.Words, error) notice {
	return func(w words.Words, _ error) notice {
		n := notice{Heading: w.Translate(heading)}
		for _, x := range text {
			n.Text = append(n.Text, w.Translate(x))
		}
		return n
	}
}

// toStudies is a page that leads on to all studies.
func toStudies(heading string, text ...string) func(words.Words, error) notice {
	return func(w words.Words, err error) notice { return onward(w, says(heading, text...)(w, err)) }
}

func onward(w words.Words, n notice) notice {
	n.Onward, n.OnwardText = "/studies", w.Translate("All studies")
	return n
}

// translated is a page in the language of whoever reads it.
func translated(say func(words.Words) (string, []string)) func(words.Words, error) notice {
	return func(w words.Words, _ error) notice {
		heading, text := say(w)
		return notice{Heading: heading, Text: text}
	}
}

func nowhere(w words.Words, _ error) notice {
	return notice{Heading: w.Nowhere, Text: []string{w.NowhereText}}
}

func freedNotice(w words.Words, err error) notice {
	n := notice{Heading: w.PlaceFreed, Text: []string{w.PlaceFreedText}, OnwardText: w.JoinAgain}
	if freed, ok := errors.AsType[*panel.FreedError](err); ok {
		n.Onward = "/join/" + string(freed.Join)
	}
	return n
}

func notYetNotice(w words.Words, err error) notice {
	notYet, _ := errors.AsType[*panel.NotYetError](err)
	return onward(w, notice{Heading: w.Translate("This service cannot run the study as it stands"),
		Text: []string{Sentence(w.Translate(notYet.What)), Sentence(w.Translate(notYet.Do))}})
}
