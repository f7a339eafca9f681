package server

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// route is one line of the table.
type route struct {
	method, path string
	role         role // who is admitted: one role or several
	handle       func(*gin.Context) error
}

// ballotStream is the stream of events of a guest's phone.
const ballotStream = "/t/:token/events"

// routes is every route of the service.
func (s *server) routes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{get, "/", anyone, s.home},
		{get, "/healthz", anyone, s.healthy},
		{get, "/readyz", anyone, s.ready},
		{get, "/assets/:version/*file", anyone, s.asset},
		{get, "/worker.js", anyone, s.worker},
		{get, "/setup", anyone, s.setupForm},
		{post, "/setup", anyone, s.setup},
		{get, signInRoute, anyone, s.signInForm},
		{post, signInRoute, anyone, s.signIn},
		{post, "/sign-out", atDesk, s.signOut},
		{get, passwordPath, atDesk, s.passwordForm},
		{post, passwordPath, atDesk, s.changePassword},

		{get, "/join/:token", assessor, s.welcome},
		{post, "/join/:token/consent", assessor, s.consent},
		{post, "/join/:token/decline", assessor, s.decline},
		{get, "/join/:token/declined", assessor, s.declined},
		{get, "/t/:token", assessor, s.ballot},
		{post, "/t/:token/screening", assessor, s.screening},
		{post, "/t/:token/start", assessor, s.start},
		{post, "/t/:token/servings/:serving", assessor, s.rate},
		{get, "/t/:token/ahead", assessor, s.ahead},
		{get, "/t/:token/offline", assessor, s.offline},
		{get, "/t/:token/change", assessor, s.change},
		{get, ballotStream, assessor, s.ballotEvents},
		{get, "/t/:token/late", assessor, s.late},
		{get, "/t/:token/withdraw", assessor, s.withdrawForm},
		{post, "/t/:token/withdraw", assessor, s.withdraw},
		{get, "/t/:token/stop", assessor, s.stopForm},
		{post, "/t/:token/stop", assessor, s.stop},
		// A phone that restores a closed tab asks with GET for what was sent
		// with POST.
		{get, "/join/:token/consent", assessor, backToJoin},
		{get, "/join/:token/decline", assessor, backToJoin},
		{get, "/t/:token/screening", assessor, backToBallot},
		{get, "/t/:token/start", assessor, backToBallot},
		{get, "/t/:token/servings/:serving", assessor, backToBallot},

		{get, "/staff/:token", anyone, s.staffWelcome},
		{post, "/staff/:token", anyone, s.joinStaff},

		{get, "/screen/:id/:token", anyone, s.television},
		{get, "/screen/:id/:token/board", anyone, s.televisionBoard},
		{get, "/screen/:id/:token/events", anyone, s.televisionEvents},

		{get, "/invitation/:token", anyone, s.invitation},
		{post, "/invitation/:token", anyone, s.acceptInvitation},
		{get, "/partner", lead, s.partner},
		{post, "/partner/invite", lead, s.invitePartner},
		{post, "/partner/end", lead, s.endPartner},

		{get, "/floor", floor, s.room},
		{get, "/floor/events", floor, s.roomEvents},
		{get, "/floor/ahead", floor, s.floorAhead},
		{get, "/floor/offline", floor, s.floorOffline},
		{get, "/floor/guest", floor, s.guestForm},
		{post, "/floor/guest", floor, s.seatGuest},
		{post, "/floor/leave", floor, s.leaveStaff},
		{get, "/floor/seats/:seat", floor, s.floorSeat},
		{post, "/floor/seats/:seat/dropped", floor, s.dropCode},
		{post, "/floor/seats/:seat/left", floor, s.guestLeft},
		{post, "/floor/seats/:seat/back", floor, s.guestBack},
		{post, "/floor/seats/:seat/free", floor, s.freeSeat},
		{post, "/floor/seats/:seat/rinse", floor, s.cutRinse},
		{post, "/floor/seats/:seat/place", floor, s.noteSeat},
		{get, "/floor/seats/:seat/scores/:serving", floor, s.scoresForm},
		{post, "/floor/seats/:seat/scores/:serving", floor, s.enterScores},
		{post, "/floor/seats/:seat/servings/:serving/served", floor, s.setDown},
		{post, "/floor/seats/:seat/servings/:serving/taken-back", floor, s.takeBack},
		{post, "/floor/seats/:seat/servings/:serving/dropped", floor, s.dropPlate},
		{post, "/floor/seats/:seat/servings/:serving/refused", floor, s.refuse},
		{post, "/floor/seats/:seat/servings/:serving/wanted", floor, s.wanted},
		{post, "/floor/seats/:seat/servings/:serving/not-dropped", floor, s.notDropped},

		{get, "/kitchen", kitchen, s.kitchen},
		{get, "/kitchen/events", kitchen, s.kitchenEvents},
		{get, "/kitchen/plating", kitchen, s.plating},
		{get, "/kitchen/photos/:dish", kitchen, s.kitchenPhoto},
		{get, "/kitchen/labels", kitchen, s.labels},
		{post, "/kitchen/labels", kitchen, s.setLabels},
		{get, "/kitchen/labels.css", kitchen, s.labelStyle},
		{post, "/kitchen/temperatures", kitchen, s.measure},
		{get, "/kitchen/blind", kitchen, s.blindForm},
		{post, "/kitchen/blind", kitchen, s.breakBlind},
		{post, "/kitchen/leave", kitchen, s.leaveStaff},

		{get, logPath, lead, s.serviceLog},

		{get, "/studies", atDesk, s.studies},
		{get, "/studies/new", lead, s.newStudy},
		{post, "/studies", lead, s.begin},
		{get, "/studies/upload", lead, s.uploadForm},
		{post, "/studies/upload", lead, s.upload},
		{get, "/studies/:id", atDesk, s.study},
		{get, "/studies/:id/file", atDesk, s.studyFile},
		{get, "/studies/:id/plan", atDesk, s.plan},
		{get, "/studies/:id/plan.txt", atDesk, s.planText},
		{get, "/studies/:id/study.json", atDesk, s.studyJSON},
		{post, "/studies/:id/countersign", atDesk, s.countersign}, // the partner alone: panel refuses the lead
		{get, "/studies/:id/data.zip", atDesk, s.exportZip},
		{post, "/studies/:id/copy", lead, s.copyStudy},
		{get, "/studies/:id/amend", lead, s.amendForm},
		{post, "/studies/:id/amend", lead, s.amend},
		{post, "/studies/:id/archive", lead, s.archive},
		{get, "/studies/:id/delete", lead, s.deleteForm},
		{post, "/studies/:id/delete", lead, s.deleteStudy},
		{get, "/studies/:id/photos/:dish", atDesk, s.photo},
		{get, "/studies/:id/balance", atDesk, s.balance},
		{get, "/studies/:id/log", atDesk, s.studyLog},
		{get, "/studies/:id/dry-run", atDesk, s.dryRun},
		// Nothing of a rehearsal is kept, so that the partner may send its forms.
		{get, "/studies/:id/rehearsal", atDesk, s.rehearsalStart},
		{get, "/studies/:id/rehearsal/:seat/:in/:screen", atDesk, s.rehearsal},
		{get, "/studies/:id/rehearsal/:seat/:in/:screen/:aside", atDesk, s.rehearsalAside},
		{post, "/studies/:id/rehearsal/:seat/:in/:screen/:aside", atDesk, s.rehearsalDo},
		{post, "/studies/:id/rehearsal/:seat/:in/:screen/servings/:serving", atDesk, s.rehearsalRate},
		{get, "/studies/:id/rehearsal/:seat/:in/:screen/servings/:serving", atDesk, s.backToRehearsal},
		{get, "/studies/:id/edit/:step", lead, s.editStep},
		{post, "/studies/:id/edit/:step", lead, s.saveStep},
		{get, "/studies/:id/size", lead, s.sizeAnswer},
		{post, "/studies/:id/photos/:dish", lead, s.setPhoto},
		{post, "/studies/:id/lock", lead, s.lock},
		{post, "/studies/:id/prepare", lead, s.prepare},
		{post, "/studies/:id/sittings", lead, s.openSitting},
		{get, "/studies/:id/sittings/:number/card", lead, s.card},
		{post, "/studies/:id/sittings/:number/word", lead, s.askForWord},
		{get, "/studies/:id/sittings/:number/staff", lead, s.staffLinks},
		{get, "/studies/:id/sittings/:number/staff/:role", lead, s.staffLink},
		{post, "/studies/:id/sittings/:number/staff", lead, s.renewAccess},
		{get, "/studies/:id/sittings/:number/blind", lead, s.leadBlindForm},
		{post, "/studies/:id/sittings/:number/blind", lead, s.leadBreakBlind},
		{get, "/studies/:id/board", atDesk, s.board},
		{get, "/studies/:id/events", atDesk, s.boardEvents},
		{get, "/studies/:id/screen", atDesk, s.toScreen},
		{get, "/studies/:id/take-out", lead, s.takeOutForm},
		{post, "/studies/:id/take-out", lead, s.takeOut},
		{get, "/studies/:id/free", lead, s.freeForm},
		{post, "/studies/:id/free", lead, s.freeNumber},
		{get, "/studies/:id/close", lead, s.closeForm},
		{post, "/studies/:id/close", lead, s.close},
		{get, "/studies/:id/key.csv", atDesk, s.tableOf("key.csv")},
		{get, "/studies/:id/ratings.csv", atDesk, s.tableOf("ratings.csv")},
		{get, "/studies/:id/findings.json", atDesk, s.findingsJSON},
	}
}
