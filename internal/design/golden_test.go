package design

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/study"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// examples are the studies whose plans are kept: one of each kind.
var examples = []string{
	"celeriac-custard", "four-custards", "seven-caramels", "one-name-each", "name-by-table", "recipe-or-name",
	"six-salts", "made-yesterday", "less-salt", "house-custard", "saltier-of-two", "smokiest-of-three", "two-creams",
	"our-custard-or-not", "same-or-different", "browned-butter", "four-crusts", "salt-in-order",
	"strained-twice", "little-smoke", "sweet-enough", "nutmeg-for-some", "smooth-by-starch",
	"promised-sweet", "roasted-first", "darker-caramel", "warmed-plates", "sweet-alone",
}

func example(t testing.TB, name string) *study.Study {
	t.Helper()
	file := filepath.Join("../../studies", name+".yaml")
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, src)
	for _, p := range problems {
		t.Error(p)
	}
	if len(problems) > 0 {
		t.FailNow()
	}
	return s
}

// TestGoldenPlans holds that a study, a seed and an engine give the same plan
// byte for byte, on every platform and in every release: the first assessors are
// kept in full, all of them as a hash.
func TestGoldenPlans(t *testing.T) {
	const kept = 14
	var hashes strings.Builder
	for _, name := range examples {
		s := example(t, name)
		full := mustDraw(t, s, Options{Seed: s.Serving.Seed, Engine: EngineVersion})
		fmt.Fprintf(&hashes, "%s  %s\n", full.Hash(), name)
		some := mustDraw(t, s, Options{Seed: s.Serving.Seed, Engine: EngineVersion,
			Assessors: min(kept, full.Assessors)})
		compareGolden(t, name+".plan", some.Canonical())
	}
	compareGolden(t, "hashes.txt", []byte(hashes.String()))
}

func compareGolden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("../../testdata/design", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs from the golden file; a change that alters plans needs a new engine version", name)
	}
}

func TestExamplesAreEven(t *testing.T) {
	for _, name := range examples {
		t.Run(name, func(t *testing.T) {
			s := example(t, name)
			b := weigh(t, mustDraw(t, s, Options{Seed: s.Serving.Seed}), s)
			if b.Codes.Collisions != 0 || len(b.Warnings) != 0 {
				t.Errorf("%d collisions, warnings %v", b.Codes.Collisions, b.Warnings)
			}
			if s.Serving.Design == study.All && s.Question.CollectsRatings() && b.Prefix.WorstPosition > 1 {
				t.Errorf("positions differ by up to %d", b.Prefix.WorstPosition)
			}
			if b.Blocks != nil && !b.Blocks.Balanced {
				t.Errorf("blocks: %+v", *b.Blocks)
			}
		})
	}
}
