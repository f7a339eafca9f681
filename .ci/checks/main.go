// Checks is go vet and staticcheck in one program: each package is read and typed once for both.
package main

import (
	"os"

	"golang.org/x/tools/go/analysis/suite/vet"
	"honnef.co/go/tools/lintcmd"
	"honnef.co/go/tools/simple"
	"honnef.co/go/tools/staticcheck"
	"honnef.co/go/tools/stylecheck"
	"honnef.co/go/tools/unused"
)

func main() {
	cmd := lintcmd.NewCommand("checks")
	cmd.ParseFlags(os.Args[1:])
	cmd.AddBareAnalyzers(vet.Suite...)
	cmd.AddAnalyzers(simple.Analyzers...)
	cmd.AddAnalyzers(staticcheck.Analyzers...)
	cmd.AddAnalyzers(stylecheck.Analyzers...)
	cmd.AddAnalyzers(unused.Analyzer)
	cmd.Run()
}
