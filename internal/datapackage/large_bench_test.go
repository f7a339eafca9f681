package datapackage

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/study"
)

// large is a study of 200 people who rated six samples on ten attributes.
func large(t testing.TB) Data {
	t.Helper()
	var file strings.Builder
	file.WriteString("cloche: 1\ntitle: A large study\nquestion: samples\ndishes:\n")
	for i := range 6 {
		fmt.Fprintf(&file, "  - {id: d%d, title: Dish %d, portion: 20 g, serve at: 20 °C, allergens: []}\n", i, i)
	}
	file.WriteString("samples:\n")
	for i := range 6 {
		fmt.Fprintf(&file, "  - {id: S%d, dish: d%d, blind: true}\n", i, i)
	}
	file.WriteString("attributes:\n")
	for i := range 10 {
		fmt.Fprintf(&file, "  - {id: a%d, ask: How strong is note %d?, scale: {line: [not at all, extremely]}}\n", i, i)
	}
	file.WriteString("panel: {assessors: 200}\nserving: {seed: 3, codes: sample}\n" +
		"texts: {consent: I agree to taste., instructions: Taste.}\nanalysis: {compare: [S0, S1], attribute: a0}\n")
	return closed(t, file.String(), func(s *study.Study, plan *design.Plan) []analysis.Rating {
		return calibrate.Answers(s, plan, 4, rand.New(rand.NewPCG(4, 1)))
	})
}

func BenchmarkLargePackage(b *testing.B) {
	d := large(b)
	b.ReportAllocs()
	b.Run("files", func(b *testing.B) {
		for b.Loop() {
			if _, err := Files(d); err != nil {
				b.Fatal(err)
			}
		}
	})
	files, err := Files(d)
	must(b, err)
	size := 0
	for _, f := range files {
		size += len(f.Bytes)
	}
	b.Run("zip", func(b *testing.B) {
		for b.Loop() {
			packed, err := Zip(files, d.At)
			must(b, err)
			b.ReportMetric(float64(size)/1024, "kB")
			b.ReportMetric(float64(len(packed))/1024, "kB-zipped")
		}
	})
	for _, f := range files {
		if len(f.Bytes) > 100<<10 {
			b.Logf("%s: %d kB", f.Name, len(f.Bytes)>>10)
		}
	}
}
