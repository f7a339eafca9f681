package server

import (
	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
)

// Route is a line of the route table as tests see it.
type Route struct{ Method, Path, Role string }

// Routes returns the route table.
func Routes() []Route {
	var list []Route
	for _, r := range (&server{}).routes() {
		list = append(list, Route{r.Method, r.Path, r.Role.String()})
	}
	return list
}

// Refuses reports whether a route without a role is refused.
func Refuses(c *gin.Context) bool { return (&server{}).hasRole(c, site.Nobody) != nil }
