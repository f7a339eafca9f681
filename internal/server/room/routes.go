package room

import "cloche/internal/server/site"

// handlers are the handlers of this room.
type handlers struct {
	*site.Site
}

// Routes are those of kitchen and floor, and of breaking the blind.
func Routes(s *site.Site) []site.Route {
	p := &handlers{Site: s}
	return []site.Route{
		site.Get("/staff/:token", site.Anyone, p.staffWelcome),
		site.Post("/staff/:token", site.Anyone, p.joinStaff),
		site.Get("/take-over/:token", site.Anyone, p.takeOverForm),
		site.Post("/take-over/:token", site.Anyone, p.takeOver),
		site.Get("/floor/hand-over", site.Floor, p.handOver),
		site.Get("/floor", site.Floor, p.room),
		site.Get("/floor/events", site.Floor, p.roomEvents),
		site.Get("/floor/plate", site.Floor, p.plateTyped),
		site.Get("/floor/ahead", site.Floor, p.floorAhead),
		site.Get("/floor/offline", site.Floor, p.floorOffline),
		site.Get("/floor/guest", site.Floor, p.guestForm),
		site.Post("/floor/guest", site.Floor, p.seatGuest),
		site.Get("/floor/ballots", site.Floor, p.paper),
		site.Post("/floor/unused", site.Floor, p.returnUnused),
		site.Post("/floor/leave", site.Floor, p.leaveStaff),
		site.Get("/floor/blind", site.Floor, p.askBlindForm),
		site.Post("/floor/blind", site.Floor, p.askBlind),
		site.Get("/floor/blind/:ask", site.Floor, p.askedBlind),
		site.Post("/floor/blind/:ask", site.Floor, p.openedBlind),
		site.Post("/floor/blind/:ask/agree", site.Floor, p.agreeBlind),
		site.Get("/floor/seats/:seat", site.Floor, p.floorSeat),
		site.Post("/floor/seats/:seat/dropped", site.Floor, p.dropCode),
		site.Post("/floor/seats/:seat/left", site.Floor, p.guestLeft),
		site.Post("/floor/seats/:seat/back", site.Floor, p.guestBack),
		site.Post("/floor/seats/:seat/free", site.Floor, p.freeSeat),
		site.Post("/floor/seats/:seat/rinse", site.Floor, p.cutRinse),
		site.Post("/floor/seats/:seat/place", site.Floor, p.noteSeat),
		site.Post("/floor/seats/:seat/table", site.Floor, p.moveSeat),
		site.Get("/floor/seats/:seat/last", site.Floor, p.lastForm),
		site.Post("/floor/seats/:seat/last", site.Floor, p.enterLast),
		site.Get("/floor/seats/:seat/scores/:turn", site.Floor, p.scoresForm),
		site.Post("/floor/seats/:seat/scores/:turn", site.Floor, p.enterScores),
		site.Post("/floor/seats/:seat/turns/:turn/served", site.Floor, p.setDown),
		site.Post("/floor/seats/:seat/turns/:turn/taken-back", site.Floor, p.takeBack),
		site.Post("/floor/seats/:seat/servings/:serving/dropped", site.Floor, p.dropPlate),
		site.Post("/floor/seats/:seat/turns/:turn/refused", site.Floor, p.refuse),
		site.Post("/floor/seats/:seat/turns/:turn/wanted", site.Floor, p.wanted),
		site.Post("/floor/seats/:seat/servings/:serving/not-dropped", site.Floor, p.notDropped),
		site.Post("/floor/seats/:seat/turns/:turn/incidents/:what", site.Floor, p.wentWrong),
		site.Post("/floor/seats/:seat/turns/:turn/incidents/:what/taken-back", site.Floor, p.notWrong),
		site.Get("/kitchen", site.Kitchen, p.kitchen),
		site.Get("/kitchen/events", site.Kitchen, p.kitchenEvents),
		site.Get("/kitchen/plating", site.Kitchen, p.plating),
		site.Get("/kitchen/photos/:dish", site.Kitchen, p.kitchenPhoto),
		site.Get("/kitchen/labels", site.Kitchen, p.labels),
		site.Post("/kitchen/labels", site.Kitchen, p.setLabels),
		site.Get("/kitchen/labels.css", site.Kitchen, p.labelStyle),
		site.Post("/kitchen/temperatures", site.Kitchen, p.measure),
		site.Get("/kitchen/blind", site.Kitchen, p.blindForm),
		site.Post("/kitchen/blind", site.Kitchen, p.breakBlind),
		site.Post("/kitchen/blind/:ask/agree", site.Kitchen, p.agreeBlind),
		site.Post("/kitchen/pass", site.Kitchen, p.toPass),
		site.Post("/kitchen/pass/taken-back", site.Kitchen, p.notAtPass),
		site.Post("/kitchen/release", site.Kitchen, p.release),
		site.Post("/kitchen/leave", site.Kitchen, p.leaveStaff),
		site.Get("/studies/:id/sittings/:number/blind", site.Lead, p.leadBlindForm),
		site.Post("/studies/:id/sittings/:number/blind", site.Lead, p.leadBreakBlind),
	}
}

// Screens are the screens of this room.
var Screens = []site.AnyScreen{
	blindScreen.Any(),
	openedScreen.Any(),
	askedScreen.Any(),
	handOverScreen.Any(),
	takeOverScreen.Any(),
	leadBlindScreen.Any(),
	leadOpenedScreen.Any(),
	roomScreen.Any(),
	floorOfflineScreen.Any(),
	scoresScreen.Any(),
	scoresGateScreen.Any(),
	lastScreen.Any(),
	seatScreen.Any(),
	guestScreen.Any(),
	paperScreen.Any(),
	kitchenScreen.Any(),
	platingScreen.Any(),
	labelsScreen.Any(),
	joinStaffScreen.Any(),
}
