package desk

import "cloche/internal/server/site"

// handlers are the handlers of this room.
type handlers struct {
	*site.Site
}

// Routes are those of lead and partner, and of the television.
func Routes(s *site.Site) []site.Route {
	p := &handlers{Site: s}
	return []site.Route{
		site.Get("/", site.Anyone, p.home),
		site.Get("/setup", site.Anyone, p.setupForm),
		site.Post("/setup", site.Anyone, p.setup),
		site.Get(site.SignInRoute, site.Anyone, p.signInForm),
		site.Post(site.SignInRoute, site.Anyone, p.signIn),
		site.Post("/sign-out", site.AtDesk, p.signOut),
		site.Get(passwordPath, site.AtDesk, p.passwordForm),
		site.Post(passwordPath, site.AtDesk, p.changePassword),
		site.Get("/screen/:id/:token", site.Anyone, p.television),
		site.Get("/screen/:id/:token/board", site.Anyone, p.televisionBoard),
		site.Get("/screen/:id/:token/events", site.Anyone, p.televisionEvents),
		site.Get("/invitation/:token", site.Anyone, p.invitation),
		site.Post("/invitation/:token", site.Anyone, p.acceptInvitation),
		site.Get("/partner", site.Lead, p.partner),
		site.Post("/partner/invite", site.Lead, p.invitePartner),
		site.Post("/partner/end", site.Lead, p.endPartner),
		site.Get(logPath, site.Lead, p.serviceLog),
		site.Get("/studies", site.AtDesk, p.studies),
		site.Get("/studies/upload", site.Lead, p.uploadForm),
		site.Post("/studies/upload", site.Lead, p.upload),
		site.Get("/studies/:id", site.AtDesk, p.study),
		site.Get("/studies/:id/file", site.AtDesk, p.studyFile),
		site.Get("/studies/:id/plan", site.AtDesk, p.plan),
		site.Get("/studies/:id/plan.txt", site.AtDesk, p.planText),
		site.Get("/studies/:id/study.json", site.AtDesk, p.studyJSON),
		site.Post("/studies/:id/countersign", site.AtDesk, p.countersign), // the partner alone: panel refuses the lead
		site.Get("/studies/:id/data.zip", site.AtDesk, p.exportZip),
		site.Post("/studies/:id/copy", site.Lead, p.copyStudy),
		site.Get("/studies/:id/amend", site.Lead, p.amendForm),
		site.Post("/studies/:id/amend", site.Lead, p.amend),
		site.Post("/studies/:id/archive", site.Lead, p.archive),
		site.Get("/studies/:id/delete", site.Lead, p.deleteForm),
		site.Post("/studies/:id/delete", site.Lead, p.deleteStudy),
		site.Get("/studies/:id/balance", site.AtDesk, p.balance),
		site.Get("/studies/:id/log", site.AtDesk, p.studyLog),
		site.Get("/studies/:id/dry-run", site.AtDesk, p.dryRun),
		// Nothing of a rehearsal is kept, so that the partner may send its forms.
		site.Get("/studies/:id/rehearsal", site.AtDesk, p.rehearsalStart),
		site.Post("/studies/:id/prepare", site.Lead, p.prepare),
		site.Post("/studies/:id/sittings", site.Lead, p.openSitting),
		site.Get("/studies/:id/sittings/:number/card", site.Lead, p.card),
		site.Get("/studies/:id/sittings/:number/cards", site.Lead, p.tableCards),
		site.Post("/studies/:id/sittings/:number/word", site.Lead, p.askForWord),
		site.Get("/studies/:id/sittings/:number/staff", site.Lead, p.staffLinks),
		site.Get("/studies/:id/sittings/:number/staff/:role", site.Lead, p.staffLink),
		site.Post("/studies/:id/sittings/:number/staff", site.Lead, p.renewAccess),
		site.Get("/studies/:id/board", site.AtDesk, p.board),
		site.Get("/studies/:id/events", site.AtDesk, p.boardEvents),
		site.Get("/studies/:id/screen", site.AtDesk, p.toScreen),
		site.Get("/studies/:id/take-out", site.Lead, p.numberForm(takeOut)),
		site.Post("/studies/:id/take-out", site.Lead, p.actByNumber(takeOut)),
		site.Get("/studies/:id/free", site.Lead, p.numberForm(freePlace)),
		site.Post("/studies/:id/free", site.Lead, p.actByNumber(freePlace)),
		site.Get("/studies/:id/close", site.Lead, p.closeForm),
		site.Post("/studies/:id/close", site.Lead, p.close),
		site.Get("/studies/:id/key.csv", site.AtDesk, p.tableOf("key.csv")),
		site.Get("/studies/:id/ratings.csv", site.AtDesk, p.tableOf("ratings.csv")),
		site.Get("/studies/:id/findings.json", site.AtDesk, p.findingsJSON),
	}
}

// Screens are the screens of this room.
var Screens = []site.AnyScreen{
	balanceScreen.Any(),
	televisionScreen.Any(),
	closedScreen.Any(),
	amendScreen.Any(),
	deleteScreen.Any(),
	studiesScreen.Any(),
	partnerScreen.Any(),
	invitationScreen.Any(),
	planScreen.Any(),
	openScreen.Any(),
	closeScreen.Any(),
	cardScreen.Any(),
	tableCardsScreen.Any(),
	staffLinksScreen.Any(),
	staffLinkScreen.Any(),
	draftScreen.Any(),
	lockedScreen.Any(),
	fileScreen.Any(),
	logScreen.Any(),
	numberScreen.Any(),
	uploadScreen.Any(),
	dryRunScreen.Any(),
	homeScreen.Any(),
	setupScreen.Any(),
	signInScreen.Any(),
	passwordScreen.Any(),
	resentScreen.Any(),
}
