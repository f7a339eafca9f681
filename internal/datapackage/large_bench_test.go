package datapackage

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

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

// BenchmarkLargePackage makes the package of such a study: its files held and not, and packed as
// they are made. peak-MB is the most that the heap had in use beyond what the study itself takes.
func BenchmarkLargePackage(b *testing.B) {
	d := large(b)
	discard := func(File) error { return nil }
	for name, do := range map[string]func() error{
		"files": func() error { return Write(d, discard) },
		"zip": func() error {
			return Zip(io.Discard, d.At, func(put func(File) error) error { return Write(d, put) })
		},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				must(b, do())
			}
			b.StopTimer()
			b.ReportMetric(float64(peak(b, do))/(1<<20), "peak-MB")
		})
	}
}

// peak is the most heap, in bytes, that a call takes beyond what was in use before it, with a
// collector that follows closely.
func peak(t testing.TB, do func() error) uint64 {
	t.Helper()
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	inUse := func() uint64 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	runtime.GC()
	before, most := inUse(), uint64(0)
	done := make(chan error)
	go func() { done <- do() }()
	for tick := time.NewTicker(time.Millisecond); ; {
		select {
		case err := <-done:
			must(t, err)
			return most - min(most, before)
		case <-tick.C:
			most = max(most, inUse())
		}
	}
}

// TestAPackageIsPackedAsItIsMade holds that nothing but one file at a time is between its making
// and its going out: when a file is put, all before it have left.
func TestAPackageIsPackedAsItIsMade(t *testing.T) {
	d := custard(t)
	var out bytes.Buffer
	left, files, last := 0, 0, ""
	must(t, Zip(&out, d.At, func(put func(File) error) error {
		return Write(d, func(f File) error {
			if files > 0 && out.Len() == left {
				t.Errorf("before %s, nothing of the file before had left", f.Name)
			}
			left, last = out.Len(), f.Name
			files++
			return put(f)
		})
	}))
	held, err := Files(d)
	must(t, err)
	if want := held[len(held)-1].Name; files != len(held) || last != want || want != "SHA256SUMS" {
		t.Errorf("%d files, the last is %s; held they are %d, the last %s", files, last, len(held), want)
	}
	stopped := errors.New("the browser went away")
	if err := Zip(io.Discard, d.At, func(put func(File) error) error {
		return Write(d, func(f File) error { return stopped })
	}); !errors.Is(err, stopped) {
		t.Errorf("stopped at the first file: %v", err)
	}
}
