package desk_test

import (
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"cloche/internal/server/servertest"
)

// TestDeskSpeaksEveryLanguage: no text of the desk, of a study in plain words or of a notice stands in
// English alone, but on pages that are English in any case.
func TestDeskSpeaksEveryLanguage(t *testing.T) {
	servertest.EveryTemplateText(t, []string{"Cloche", "· Cloche", "SHA-256", "curl --data-binary @FILE.tsq -H " +
		"'Content-Type: application/timestamp-query' -o FILE.tsr ADDRESS", "cloche log --study  --noted",
		"cloche password", `lang=""`},
		"templates/desk/*.html", "templates/site/*.html",
		"templates/layout/bl*.html",
		"templates/layout/board.html", "templates/layout/[dk]*.html", "templates/layout/s[iu]*.html",
		"templates/layout/parts.html")
	n := 0
	for folder, but := range map[string][]string{
		".": {"export.go", "log.go"}, "../summary": {"methods.go"},
		"../site": allBut(t, "../site", "explanations.go"), "../../stamp": {},
	} {
		for _, text := range servertest.SourceTexts(t, folder, but...) {
			if text == "" || ofAFile.MatchString(text) || slices.Contains(notRead, text) {
				continue
			}
			servertest.InEveryLanguage(t, folder, text)
			n++
		}
	}
	for _, text := range slices.Concat(servertest.SaidTexts(t, "../../panel"), servertest.SaidTexts(t,
		"../../datapackage")) {
		servertest.InEveryLanguage(t, "panel", text)
	}
	if n < 300 {
		t.Errorf("only %d texts", n)
	}
}

// TestChefsPartSpeaksEveryLanguage: what a report says to who acts is known to the words, and so is all
// else that its package says for every language.
func TestChefsPartSpeaksEveryLanguage(t *testing.T) {
	texts := servertest.SaidTexts(t, "../../report")
	for _, text := range texts {
		servertest.InEveryLanguage(t, "report", text)
	}
	if len(texts) < 200 {
		t.Errorf("only %d texts", len(texts))
	}
}

// allBut are the names of a folder's programs but one.
func allBut(t *testing.T, folder, one string) (names []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if filepath.Base(name) != one {
			names = append(names, filepath.Base(name))
		}
	}
	return names
}

// ofAFile is an address, a key, a kind of content, a format or the name of a form.
var ofAFile = regexp.MustCompile(`^[a-z0-9%.:/?#=&_{}+*-]+$|^[^\pL]*(%[a-z][^\pL]*)*$|^/|^\.|^\pL$|` +
	`^text/|^[A-Z][a-z]+-[A-Z]`)

// notRead are words of the program's own that nobody reads: of its log, of an error below, parts of
// an address, articles that only English puts.
var notRead = []string{"PK\x03\x04", "\nThe data of this study are invented.\n", "add ", "board ", "passkeys " +
	"need HTTPS with a name, or localhost", "sign in",
	"television ", "the list says no verdict of a study", "the file %s", "write findings: %w", "2 January 2006",
	"F ", "a ", "an ", "2006-01-02 15:04:05 UTC", "request a time stamp: %w",
	"request a time stamp: the nonce %s is not positive", `asn1:"optional"`, "text/csv; charset=utf-8"}
