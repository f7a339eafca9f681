// Package draws fixes the seed of the tests that draw their cases at random, so that a run of
// the tests says something of the code alone: the same code passes or fails the same way on
// every machine. Test packages that draw import it for that effect.
//
// New cases are looked for on purpose, with as many draws as there is time for:
//
//	CLOCHE_DRAWS=new go test ./internal/stats/dose -rapid.checks=5000
//
// What such a hunt finds is mended, and becomes a case of a table test.
package draws

import (
	"flag"
	"os"

	_ "pgregory.net/rapid" // registers the flag
)

func init() {
	if os.Getenv("CLOCHE_DRAWS") == "new" {
		return
	}
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic(err)
	}
}
