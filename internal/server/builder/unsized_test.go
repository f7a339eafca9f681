package builder_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestSizeStepWithoutANumber: where no size can be worked out the step says so, and asks
// for nothing in points of a scale that the study lacks.
func TestSizeStepWithoutANumber(t *testing.T) {
	file, err := os.ReadFile("../../../studies/same-or-different.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(string(file))
	doc := lead.Get(edit + "size").HTML()
	text := doc.Find("main").Text()
	if !strings.Contains(text, "is not worked out here") || strings.Contains(text, "points") ||
		doc.Find("main input[type=text]").Length() != 0 {
		t.Errorf("the step says %q", text)
	}
}

// TestStepOfOneQuestion: where one of several plates is chosen the step offers no question
// that asks how much, and takes one question alone.
func TestStepOfOneQuestion(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	p := lead.Post("/studies", "question", "more")
	edit := strings.TrimSuffix(p.Path, p.Path[strings.LastIndex(p.Path, "/")+1:])
	text := lead.Get(edit + "attributes").HTML().Find("main").Text()
	if strings.Contains(text, "How smoky") || strings.Contains(text, "usual ones") ||
		!strings.Contains(text, "Which is saltier?") {
		t.Errorf("the step says %q", text)
	}
}
