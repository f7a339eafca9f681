package servertest

import (
	"os"
	"testing"
)

// Main runs the tests of a package that uses [Browser], and closes the browser.
func Main(m *testing.M) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(code)
}
