package server

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/words"
)

// Route is a line of the route table as tests see it.
type Route struct{ Method, Path, Role string }

// Routes returns the route table.
func Routes() []Route {
	var list []Route
	for _, r := range (&server{}).routes() {
		list = append(list, Route{r.method, r.path, r.role.String()})
	}
	return list
}

// Refuses reports whether a route without a role is refused.
func Refuses(c *gin.Context) bool { return (&server{}).admits(c, nobody) != nil }

// Asset returns a file as it is served, plain and compressed.
func Asset(name string) (plain, zipped []byte, err error) {
	a, err := siteAssets()
	if err != nil {
		return nil, nil, err
	}
	return a.files[name].plain, a.files[name].zipped(), nil
}

// Explain returns the status and all words of the page of an error.
func Explain(err error, toLead bool) (status int, all []string) {
	r := assessor
	if toLead {
		r = lead
	}
	status, n := explain(err, r, words.In("en"))
	return status, append([]string{n.Heading, n.OnwardText, http.StatusText(status)}, n.Text...)
}

// WithoutNetwork returns what the lead is told of phones at an address.
func WithoutNetwork(base string) string {
	return withoutNetwork(strings.HasPrefix(base, "https://"), isLocal(base))
}
