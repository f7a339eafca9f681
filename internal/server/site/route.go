package site

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"
)

// Route is one line of the table.
type Route struct {
	Method, Path string
	Role         Role // who is admitted: one role or several
	Handle       func(*gin.Context) error
}

// OfStaff reports whether a page is read by kitchen or floor, before or after they have joined.
func (r Route) OfStaff() bool {
	return r.Role&InRoom != 0 || strings.HasPrefix(r.Path, "/staff/") || strings.HasPrefix(r.Path, "/take-over/") ||
		r.Path == TabletPath
}

// OfHouse reports whether whoever works here reads a page, before signing in too: there the device's
// language can be chosen. Whoever is signed in has their own.
func (r Route) OfHouse() bool { return r.OfStaff() || r.Role == Anyone }

// Get and post are lines of the table.
func Get(path string, r Role, handle func(*gin.Context) error) Route {
	return Route{Method: http.MethodGet, Path: path, Role: r, Handle: handle}
}

func Post(path string, r Role, handle func(*gin.Context) error) Route {
	return Route{Method: http.MethodPost, Path: path, Role: r, Handle: handle}
}
