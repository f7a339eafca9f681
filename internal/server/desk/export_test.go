package desk

import (
	"strings"

	"cloche/internal/server/site"
)

// WithoutNetwork returns what the lead is told of phones at an address.
func WithoutNetwork(base string) string {
	return withoutNetwork(strings.HasPrefix(base, "https://"), site.IsLocal(base))
}
