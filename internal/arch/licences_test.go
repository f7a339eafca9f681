package arch_test

import (
	"bytes"
	"os"
	"regexp"
	"testing"
)

var (
	directModule = regexp.MustCompile(`(?m)^\t(\S+) v\S+$`)
	majorVersion = regexp.MustCompile(`/v[0-9]+$`)
	nodePackage  = regexp.MustCompile(`(?m)^    "([a-z-]+)": "[0-9.]+",?$`)
)

// TestLicencesOfAllModulesAreListed: whoever passes the program on has to know them.
func TestLicencesOfAllModulesAreListed(t *testing.T) {
	read := func(name string) []byte {
		src, err := os.ReadFile("../../" + name)
		if err != nil {
			t.Fatal(err)
		}
		return src
	}
	document := read("DEVELOPERS.md")
	var names [][]byte
	for _, found := range directModule.FindAllSubmatch(read("go.mod"), -1) {
		names = append(names, bytes.TrimPrefix(majorVersion.ReplaceAll(found[1], nil), []byte("github.com/")))
	}
	for _, found := range nodePackage.FindAllSubmatch(read("web/package.json"), -1) {
		names = append(names, found[1])
	}
	if len(names) < 30 {
		t.Fatalf("only %d modules read", len(names))
	}
	for _, name := range names {
		if !regexp.MustCompile(`(?m)^\|.*[ |]` + regexp.QuoteMeta(string(name)) + `[ ,]`).Match(document) {
			t.Errorf("the licence of %s stands in no row of DEVELOPERS.md", name)
		}
	}
}
