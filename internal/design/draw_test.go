package design

import (
	"bytes"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// tasting is a study of t samples of one dish each, as small as can be drawn.
func tasting(t, n int) *study.Study {
	s := &study.Study{
		Question: study.Rating,
		Panel:    study.Panel{Assessors: n, Sittings: 1},
		Serving:  study.Serving{Design: study.All, Replicates: 1, Codes: study.CodePerSample},
	}
	for i := range t {
		id := fmt.Sprintf("S%d", i+1)
		s.Dishes = append(s.Dishes, study.Dish{ID: study.DishID("dish" + id), Allergens: []study.Allergen{}})
		s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(id), Dish: study.DishID("dish" + id)})
	}
	return s
}

func TestAllServesEverySampleAndBalancesEveryPrefix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 26).Draw(t, "samples")
		n := rapid.IntRange(1, 120).Draw(t, "assessors")
		s := tasting(k, n)
		p, err := Draw(s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		if err != nil {
			t.Fatal(err)
		}
		positions, follows := newTable(k, k), newTable(k, k)
		for i := range n {
			seen := make([]bool, k)
			last := none
			for j, v := range p.Assessor(i) {
				if v.Position != int32(j+1) || seen[v.Sample] {
					t.Fatalf("assessor %d: serving %d is %+v", i, j, v)
				}
				seen[v.Sample] = true
				positions[v.Sample][j]++
				if last != none {
					follows[last][v.Sample]++
				}
				last = v.Sample
			}
			if d := columnSpread(positions); d > 1 {
				t.Fatalf("after %d assessors positions differ by %d:\n%v", i+1, d, positions)
			}
			allowed := 1
			if len(squareFor(k)) > k {
				allowed = 2
			}
			if d := pairSpread(follows); d > allowed {
				t.Fatalf("after %d assessors carry-over differs by %d:\n%v", i+1, d, follows)
			}
			if block := len(squareFor(k)); (i+1)%block == 0 && pairSpread(follows) != 0 {
				t.Fatalf("after %d full blocks carry-over is uneven:\n%v", (i+1)/block, follows)
			}
		}
	})
}

func newTable(rows, columns int) [][]int {
	x := make([][]int, rows)
	for i := range x {
		x[i] = make([]int, columns)
	}
	return x
}

// columnSpread is the largest difference between two rows in one column.
func columnSpread(x [][]int) int {
	spread := 0
	for j := range x[0] {
		lo, hi := x[0][j], x[0][j]
		for i := range x {
			lo, hi = min(lo, x[i][j]), max(hi, x[i][j])
		}
		spread = max(spread, hi-lo)
	}
	return spread
}

// pairSpread is the largest difference between two cells off the diagonal.
func pairSpread(x [][]int) int {
	if len(x) < 2 {
		return 0
	}
	lo, hi := x[0][1], x[0][1]
	for i := range x {
		for j := range x[i] {
			if i != j {
				lo, hi = min(lo, x[i][j]), max(hi, x[i][j])
			}
		}
	}
	return hi - lo
}

func TestSameSeedSamePlan(t *testing.T) {
	s := tasting(4, 40)
	a, err := Draw(s, Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Draw(s, Options{Seed: 7})
	other, _ := Draw(s, Options{Seed: 8})
	if !bytes.Equal(a.Canonical(), b.Canonical()) || a.Hash() != b.Hash() {
		t.Error("two draws with one seed differ")
	}
	if a.Hash() == other.Hash() {
		t.Error("two seeds gave one plan")
	}
}

func TestSpareCodesShiftNothing(t *testing.T) {
	s := tasting(4, 40)
	s.Serving.Codes = study.CodePerServing
	a, err := Draw(s, Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	s.Serving.SpareCodes = 30
	b, err := Draw(s, Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(a.Servings) != fmt.Sprint(b.Servings) || len(b.Spares[0]) != 30 {
		t.Error("spare codes changed the servings")
	}
}

func TestKey(t *testing.T) {
	s := tasting(2, 1)
	s.Names = []study.Name{{ID: "n", Text: "celeriac royale"}}
	s.Samples[0].Name = "n"
	p, err := Draw(s, Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := p.WriteKey(&out, s); err != nil {
		t.Fatal(err)
	}
	want := "assessor,position,code,dish,name\n"
	for i, v := range p.Assessor(0) {
		x := s.Samples[v.Sample]
		want += fmt.Sprintf("1,%d,%s,%s,%s\n", i+1, v.Code, x.Dish, x.Name)
	}
	if out.String() != want {
		t.Errorf("key:\n%swant:\n%s", out.String(), want)
	}
}
