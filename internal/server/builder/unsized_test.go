package builder_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestSizeStepByDistance: where one of two things is said the step asks for the distance d′
// that matters, and for nothing in points of a scale that the study lacks.
func TestSizeStepByDistance(t *testing.T) {
	file, err := os.ReadFile("../../../studies/same-or-different.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(string(file))
	doc := lead.Get(edit + "size?distance=1.5&power=80").HTML()
	text := doc.Find("#worked-out").Text()
	if !strings.Contains(text, "assessors are needed") || strings.Contains(text, "points") ||
		!strings.Contains(text, "Finds d′ from") || doc.Find("main input[name=distance]").Length() != 1 {
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
