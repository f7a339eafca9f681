package server_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// rightOfGroups is the example on what is about right with one sample to each guest.
func rightOfGroups(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../studies/sweet-enough.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return strings.NewReplacer("  rinse: 45 s\n", "  design: one\n", "paired-t", "welch-t").Replace(string(text))
}

// TestAboutRightOfGroupsIsRun: where each guest tastes one sample, what is about right is
// asked, closed, told of each sample by those who had it, and exported; that somebody moved
// from one answer to another between samples is nowhere said, for nobody had two.
func TestAboutRightOfGroupsIsRun(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(rightOfGroups(t), panel.Open)
	const guests = 8
	for i := range guests {
		if n := answerAll(f, join, fmt.Sprintf("nonce-of-a-guest-%d", i)); n != 1 {
			t.Fatalf("guest %d answered %d turns", i+1, n)
		}
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	lead, at := f.Lead(), "/studies/"+string(id)
	report := lead.Get(at)
	servertest.MustStatus(t, report, 200)
	words := strings.Join(strings.Fields(report.HTML().Find("main").Text()), " ")
	told := 0
	for n := range guests + 1 {
		told += n * strings.Count(words, fmt.Sprintf("Of %d people who answered on", n))
	}
	if told != guests || strings.Contains(words, " stayed") || !strings.Contains(words, "About right?") {
		t.Errorf("%d people are told of, %d answered: %s", told, guests, words)
	}
	found := lead.Get(at + "/findings.json")
	servertest.MustStatus(t, found, 200)
	if !strings.Contains(found.Body, `"about_right"`) || strings.Contains(found.Body, `"moves":[{`) {
		t.Errorf("the findings have no answers about right, or moves: %.800s", found.Body)
	}
	archive := lead.Get(at + "/data.zip")
	servertest.MustStatus(t, archive, 200)
	if rows := strings.Count(archive.Unpacked(), ",sweetness,"); rows < guests {
		t.Errorf("%d rows of sweetness in the package", rows)
	}
}

// TestAboutRightOfGroupsIsTriedOut: the dry run of such a study shows the whole report.
func TestAboutRightOfGroupsIsTriedOut(t *testing.T) {
	f := servertest.New(t)
	page := f.Lead().Get("/studies/" + string(f.Uploaded(rightOfGroups(t))) + "/dry-run")
	servertest.MustStatus(t, page, 200)
	words := strings.Join(strings.Fields(page.HTML().Find("main").Text()), " ")
	if !strings.Contains(words, "About right?") || !strings.Contains(words, "every answer here is invented") ||
		strings.Contains(words, " stayed") {
		t.Errorf("the page says %.2000s", words)
	}
}
