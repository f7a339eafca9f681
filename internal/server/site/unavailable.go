package site

import (
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"
)

// RetryAfter is when a phone may come again, in seconds (RFC 9110, section 10.2.3).
const RetryAfter = "5"

// again holds a form that could not be taken, so that a phone without scripts
// keeps the answers on the page and can send them again.
type again struct {
	Action string
	Fields []formField
}

type formField struct{ Name, Value string }

// againOf returns the form of a guest's request, nil when there was none. What the
// lead typed, such as a password, is never sent back.
func againOf(c *gin.Context, r Role) *again {
	if c.Request.Method != http.MethodPost || r != Assessor {
		return nil
	}
	a := &again{Action: c.Request.URL.Path}
	for name, values := range c.Request.PostForm {
		for _, value := range values {
			a.Fields = append(a.Fields, formField{name, value})
		}
	}
	slices.SortStableFunc(a.Fields, func(x, y formField) int { return strings.Compare(x.Name, y.Name) })
	return a
}
