package design_test

import (
	"os"
	"path/filepath"
	"testing"

	"cloche/internal/design"
	"cloche/internal/study"
)

// The load is reckoned without drawing; what is drawn must agree with it.
func TestLoadAgreesWithDrawnPlans(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d example studies, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			s, problems := study.Parse(file, src)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			l, err := design.Weight(s)
			if err != nil {
				t.Fatal(err)
			}
			n := l.NextEven(30)
			s.Panel.Seats, s.Panel.Sittings = 10, l.SittingsFor(n, 10)
			p, err := design.Draw(s, design.Options{Seed: 1, Assessors: n})
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range p.Warnings {
				if w.Code == "panel-uneven" || w.Code == "sittings-unused" {
					t.Errorf("%d assessors in %d sittings: %s", n, s.Panel.Sittings, w.Text)
				}
			}
			compareLoad(t, s, p, l, n)
		})
	}
}

func compareLoad(t *testing.T, s *study.Study, p *design.Plan, l design.Load, n int) {
	t.Helper()
	plates, sittings := 0, map[int32]bool{}
	for _, v := range p.Assessor(0) {
		sittings[v.Sitting] = true
		if v.Role != design.Expected {
			plates++
		}
	}
	if plates != l.Plates() || len(sittings) != l.Sittings {
		t.Errorf("each assessor: %d plates at %d sittings; the load says %d at %d", plates, len(sittings), l.Plates(),
			l.Sittings)
	}
	b, err := p.CountBalance(s)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range l.Portions(n) {
		// One sample to each: permuted blocks are left unfinished.
		if off := b.Dishes[i].Portions - want.Portions; off != 0 &&
			!(s.Serving.Design == study.One && off >= -3 && off <= 3) {
			t.Errorf("%s: %d portions drawn, the load says %d", want.Dish, b.Dishes[i].Portions, want.Portions)
		}
	}
	if l.Places() < n {
		t.Errorf("%d sittings of %d seats hold %d, want %d", s.Panel.Sittings, s.Panel.Seats, l.Places(), n)
	}
}
