package phones

import (
	"strings"
	"sync/atomic"

	"cloche/internal/server/site"
)

// handlers are the handlers of this room.
type handlers struct {
	*site.Site
	open atomic.Int64 // streams of guests' phones that are open
}

// Routes are those of guests and their phones, and of the rehearsal of both.
func Routes(s *site.Site) []site.Route {
	p := &handlers{Site: s}
	routes := []site.Route{
		site.Get("/join/:token", site.Assessor, p.welcome),
		site.Post("/join/:token/consent", site.Assessor, p.consent),
		site.Post("/join/:token/decline", site.Assessor, p.decline),
		site.Get("/join/:token/declined", site.Assessor, p.declined),
		site.Get("/t/:token", site.Assessor, p.ballot),
		site.Post("/t/:token/screening", site.Assessor, p.screening),
		site.Post("/t/:token/start", site.Assessor, p.start),
		site.Post("/t/:token/last", site.Assessor, p.last),
		site.Post("/t/:token/plate", site.Assessor, p.openPlate),
		site.Post("/t/:token/turns/:turn", site.Assessor, p.rate),
		site.Get("/t/:token/ahead", site.Assessor, p.ahead),
		site.Get("/t/:token/offline", site.Assessor, p.offline),
		site.Get("/t/:token/change", site.Assessor, p.changeAnswers),
		site.Get(EventsPath, site.Assessor, p.ballotEvents),
		site.Get("/t/:token/late", site.Assessor, p.late),
		site.Get("/t/:token/withdraw", site.Assessor, p.withdrawForm),
		site.Post("/t/:token/withdraw", site.Assessor, p.withdraw),
		site.Get("/t/:token/other-phone", site.Assessor, p.otherPhone),
		site.Get("/t/:token/give-back", site.Assessor, p.giveBackForm),
		site.Post("/t/:token/give-back", site.Assessor, p.giveBack),
		site.Get("/t/:token/stop", site.Assessor, p.stopForm),
		site.Post("/t/:token/stop", site.Assessor, p.stop),
		// A phone that restores a closed tab asks with GET for what was sent
		// with POST.
		site.Get("/join/:token/consent", site.Assessor, backToJoin),
		site.Get("/join/:token/decline", site.Assessor, backToJoin),
		site.Get("/t/:token/screening", site.Assessor, backToBallot),
		site.Get("/t/:token/start", site.Assessor, backToBallot),
		site.Get("/t/:token/plate", site.Assessor, backToBallot),
		site.Get("/t/:token/last", site.Assessor, backToBallot),
		site.Get("/t/:token/turns/:turn", site.Assessor, backToBallot),
		site.Get("/studies/:id/rehearsal/:seat/:in/:screen", site.Readers, p.rehearsal),
		site.Get("/studies/:id/rehearsal/:seat/:in/:screen/:aside", site.Readers, p.rehearsalAside),
		site.Post("/studies/:id/rehearsal/:seat/:in/:screen/:aside", site.Readers, p.rehearsalDo),
		site.Post("/studies/:id/rehearsal/:seat/:in/:screen/turns/:turn", site.Readers, p.rehearsalRate),
		site.Get("/studies/:id/rehearsal/:seat/:in/:screen/turns/:turn", site.Readers, p.backToRehearsal),
	}
	for i, r := range routes {
		if strings.HasPrefix(r.Path, "/t/") {
			routes[i].Handle = s.OnTablet(r.Handle)
		}
	}
	return routes
}

// Screens are the screens of this room.
var Screens = []site.AnyScreen{
	instructionsScreen.Any(),
	servingScreen.Any(),
	gateScreen.Any(),
	rinseScreen.Any(),
	lastScreen.Any(),
	thanksScreen.Any(),
	overScreen.Any(),
	lateScreen.Any(),
	withdrawScreen.Any(),
	stopScreen.Any(),
	giveBackScreen.Any(),
	otherPhoneScreen.Any(),
	welcomeScreen.Any(),
	resumeScreen.Any(),
	declinedScreen.Any(),
	offlineScreen.Any(),
	screeningScreen.Any(),
}
