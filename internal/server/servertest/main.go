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

// onlyLooked has the thread that lays a page out put it together too. Where a page is looked at in
// many windows a third of the processor time goes into handing it on; where a phone is made slow,
// this one would wait for ever.
var onlyLooked bool

// MainOfLooks is [Main] for tests that look at pages and do not act on them.
func MainOfLooks(m *testing.M) {
	onlyLooked = true
	Main(m)
}
