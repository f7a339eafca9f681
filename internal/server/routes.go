package server

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// role is whom a route is for. The zero value is nobody: a route without a role
// is refused.
type role int

const (
	nobody role = iota
	anyone
	// assessor is the holder of a join link or a personal link: the token in the
	// path is the right, and panel looks it up.
	assessor
	lead
)

// route is one line of the table.
type route struct {
	method, path string
	role         role
	handle       func(*gin.Context) error
}

// routes is every route of the service.
func (s *server) routes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{get, "/", anyone, s.home},
		{get, "/healthz", anyone, s.healthy},
		{get, "/assets/:version/*file", anyone, s.asset},
		{get, "/setup", anyone, s.setupForm},
		{post, "/setup", anyone, s.setup},
		{get, "/sign-in", anyone, s.signInForm},
		{post, "/sign-in", anyone, s.signIn},
		{post, "/sign-out", lead, s.signOut},

		{get, "/join/:token", assessor, s.welcome},
		{post, "/join/:token/consent", assessor, s.consent},
		{post, "/join/:token/decline", assessor, s.decline},
		{get, "/join/:token/declined", assessor, s.declined},
		{get, "/t/:token", assessor, s.ballot},
		{post, "/t/:token/start", assessor, s.start},
		{post, "/t/:token/servings/:serving", assessor, s.rate},
		{get, "/t/:token/change", assessor, s.change},
		{get, "/t/:token/late", assessor, s.late},
		{get, "/t/:token/withdraw", assessor, s.withdrawForm},
		{post, "/t/:token/withdraw", assessor, s.withdraw},
		// A phone that restores a closed tab asks with GET for what was sent
		// with POST.
		{get, "/join/:token/consent", assessor, backToJoin},
		{get, "/join/:token/decline", assessor, backToJoin},
		{get, "/t/:token/start", assessor, backToBallot},
		{get, "/t/:token/servings/:serving", assessor, backToBallot},

		{get, "/studies", lead, s.studies},
		{get, "/studies/new", lead, s.uploadForm},
		{post, "/studies", lead, s.upload},
		{get, "/studies/:id", lead, s.study},
		{get, "/studies/:id/file", lead, s.studyFile},
		{get, "/studies/:id/balance", lead, s.balance},
		{get, "/studies/:id/log", lead, s.studyLog},
		{post, "/studies/:id/lock", lead, s.lock},
		{post, "/studies/:id/sittings", lead, s.openSitting},
		{get, "/studies/:id/sittings/:number/card", lead, s.card},
		{get, "/studies/:id/board", lead, s.board},
		{get, "/studies/:id/close", lead, s.closeForm},
		{post, "/studies/:id/close", lead, s.close},
		{get, "/studies/:id/key.csv", lead, s.keyCSV},
		{get, "/studies/:id/ratings.csv", lead, s.ratingsCSV},
		{get, "/studies/:id/findings.json", lead, s.findingsJSON},
	}
}
