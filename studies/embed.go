// Package studies holds the example studies, for "cloche demo" and for tests.
// Their ratings are invented.
package studies

import _ "embed"

// CeleriacCustard is the study file of the demo: one dish under two names.
//
//go:embed celeriac-custard.yaml
var CeleriacCustard []byte
