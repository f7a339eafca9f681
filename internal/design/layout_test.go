package design

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// naming is a study of every dish under every name; with blind, each dish also
// without a name, as the last sample of the dish.
func naming(dishes, names int, blind bool, n int) *study.Study {
	s := &study.Study{
		Question: study.Naming,
		Panel:    study.Panel{Assessors: n, Sittings: 1},
		Serving:  study.Serving{Design: study.All, Replicates: 1, Codes: study.CodePerSample},
	}
	for j := range names {
		s.Names = append(s.Names, study.Name{ID: study.NameID(fmt.Sprintf("n%d", j)), Text: fmt.Sprintf("Name %d", j)})
	}
	for d := range dishes {
		dish := study.DishID(fmt.Sprintf("d%d", d))
		s.Dishes = append(s.Dishes, study.Dish{ID: dish, Allergens: []study.Allergen{}})
		for j, x := range s.Names {
			s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(fmt.Sprintf("d%dn%d", d, j)), Dish: dish,
				Name: x.ID})
		}
		if blind {
			s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(fmt.Sprintf("d%dblind", d)), Dish: dish})
		}
	}
	return s
}

func TestDishesKeptApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dishes := rapid.IntRange(1, 4).Draw(t, "dishes")
		names := rapid.IntRange(2, 4).Draw(t, "names")
		passes := rapid.IntRange(1, 2).Draw(t, "replicates")
		n := rapid.IntRange(1, 50).Draw(t, "assessors")
		s := naming(dishes, names, false, n)
		s.Panel.Sittings = names
		s.Serving.KeepDishesApart, s.Serving.Replicates = true, passes
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		at := newTable(dishes*names, dishes*names*passes)
		for i := range n {
			met := map[string]study.SampleID{}
			count := make([]int, len(s.Samples))
			for j, v := range p.Assessor(i) {
				x := s.Samples[v.Sample]
				key := fmt.Sprint(v.Sitting, x.Dish)
				if other, ok := met[key]; ok && other != x.ID {
					t.Fatalf("assessor %d meets %s as %s and %s at sitting %d", i, x.Dish, other, x.ID, v.Sitting)
				}
				met[key] = x.ID
				count[v.Sample]++
				at[v.Sample][j]++
			}
			if d := spreadOf(count); d != (Spread{passes, passes}) {
				t.Fatalf("assessor %d: times served %v", i, count)
			}
			if d := columnSpread(at); d > 1 {
				t.Fatalf("after %d assessors positions differ by %d", i+1, d)
			}
		}
	})
}

func TestDishesKeptApartWithGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "assessors")
		s := naming(rapid.IntRange(2, 4).Draw(t, "dishes"), 3, false, n)
		keep := rapid.IntRange(1, 2).Draw(t, "names of the second dish")
		s.Samples = append(s.Samples[:3+keep], s.Samples[6:]...)
		s.Panel.Sittings = 3
		s.Serving.KeepDishesApart = true
		k := len(s.Samples)
		if rapid.Bool().Draw(t, "some") {
			k--
			s.Serving.Design, s.Serving.PerAssessor = study.Some, k
		}
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		at := newTable(len(s.Samples), k)
		for i := range n {
			met := map[string]bool{}
			for j, v := range p.Assessor(i) {
				key := fmt.Sprint(v.Sitting, s.Samples[v.Sample].Dish)
				if met[key] || int(v.Position) != j+1 {
					t.Fatalf("assessor %d: %+v", i, p.Assessor(i))
				}
				met[key] = true
				at[v.Sample][j]++
			}
			if len(p.Assessor(i)) != k {
				t.Fatalf("assessor %d has %d servings, want %d", i, len(p.Assessor(i)), k)
			}
			if d := columnSpread(at); d > 1 && s.Serving.Design == study.All {
				t.Fatalf("after %d assessors positions differ by %d", i+1, d)
			}
		}
		if s.Serving.Design == study.Some && !hasWarning(p, "positions-uneven") {
			t.Fatal("no warning of uneven positions")
		}
	})
}

func hasWarning(p *Plan, code string) bool {
	for _, w := range p.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

func TestBlindServingsComeFirst(t *testing.T) {
	for _, apart := range []bool{false, true} {
		for _, design := range []study.Design{study.All, study.Some} {
			t.Run(fmt.Sprintf("design %s, apart %v", design, apart), func(t *testing.T) {
				rapid.Check(t, func(t *rapid.T) {
					n := rapid.IntRange(1, 30).Draw(t, "assessors")
					s := naming(3, 2, true, n)
					s.Panel.Sittings = 3
					s.Serving.BlindFirst, s.Serving.KeepDishesApart = true, apart
					s.Serving.Design, s.Serving.PerAssessor = design, 5
					p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
					for i := range n {
						named := false
						for _, v := range p.Assessor(i) {
							if s.Samples[v.Sample].Name != "" {
								named = true
							} else if named {
								t.Fatalf("assessor %d gets a blind serving after a named one", i)
							}
						}
					}
				})
			})
		}
	}
}

func TestExpectationComesBeforeAnyTasting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "assessors")
		names := rapid.IntRange(1, 4).Draw(t, "names")
		s := naming(2, names, true, n)
		s.Serving.Expectation = true
		s.Serving.WarmUp = s.Samples[0].ID
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		at := newTable(len(s.Samples), names)
		for i := range n {
			read := map[study.NameID]bool{}
			for j, v := range p.Assessor(i) {
				if expected := j < names; expected != (v.Role == Expected) {
					t.Fatalf("assessor %d, serving %d: %+v", i, j, v)
				}
				if v.Role != Expected {
					continue
				}
				if v.Code != "" || v.Position != 0 || v.Sitting != 1 {
					t.Fatalf("a name that is read: %+v", v)
				}
				read[s.Samples[v.Sample].Name] = true
				at[v.Sample][j]++
			}
			if len(read) != names || read[""] {
				t.Fatalf("assessor %d reads %v", i, read)
			}
			if d := columnSpread(at[:names]); d > 1 {
				t.Fatalf("after %d assessors names were read unevenly: %v", i+1, at[:names])
			}
		}
	})
}

func TestOneReadsOnlyTheirOwnName(t *testing.T) {
	s := naming(1, 3, false, 30)
	s.Serving.Design, s.Serving.Expectation = study.One, true
	p := mustDraw(t, s, Options{Seed: 9})
	for i := range 30 {
		v := p.Assessor(i)
		if len(v) != 2 || v[0].Role != Expected || v[0].Sample != v[1].Sample {
			t.Fatalf("assessor %d: %+v", i, v)
		}
	}
}

func TestEverySittingBeginsWithWarmUpAndReference(t *testing.T) {
	s := tasting(6, 30)
	s.Panel.Sittings = 2
	s.Serving.WarmUp, s.Serving.FixedReference, s.Serving.MaxPerSitting = "S2", "S3", 5
	p := mustDraw(t, s, Options{Seed: 1})
	want := "2wu 3re 1 2 3 | 2wu 3re 4 5 6"
	for i := range 30 {
		var words []string
		sitting := int32(1)
		for _, v := range p.Assessor(i) {
			if v.Sitting != sitting {
				words, sitting = append(words, "|"), v.Sitting
			}
			switch v.Role {
			case WarmUp:
				words = append(words, fmt.Sprintf("%dwu", v.Sample+1))
			case Reference:
				words = append(words, fmt.Sprintf("%dre", v.Sample+1))
			default:
				words = append(words, fmt.Sprint(v.Position))
			}
		}
		if got := strings.Join(words, " "); got != want {
			t.Fatalf("assessor %d: %s, want %s", i, got, want)
		}
	}
}

func TestSittingsKeepSeatsAndMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 8).Draw(t, "samples")
		n := rapid.IntRange(1, 60).Draw(t, "assessors")
		s := tasting(k, n)
		s.Panel.Sittings = rapid.IntRange(1, 8).Draw(t, "sittings")
		s.Panel.Seats = rapid.IntRange(0, 30).Draw(t, "seats")
		s.Serving.MaxPerSitting = rapid.IntRange(0, 6).Draw(t, "most per sitting")
		p, err := Draw(s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		rounds, groups := 1, 1
		if m := s.Serving.MaxPerSitting; m > 0 {
			rounds = (k + m - 1) / m
		}
		if s.Panel.Seats > 0 {
			groups = (n + s.Panel.Seats - 1) / s.Panel.Seats
		}
		if fits := rounds*groups <= s.Panel.Sittings; fits != (err == nil) {
			t.Fatalf("%d sittings each in %d groups: %v", rounds, groups, err)
		}
		if err != nil {
			if want := fmt.Sprintf("write panel.sittings: %d", rounds*groups); !strings.Contains(err.Error(), want) {
				t.Fatalf("%v does not say %q", err, want)
			}
			return
		}
		present := map[int32]map[int32]int{}
		for _, v := range p.Servings {
			if present[v.Sitting] == nil {
				present[v.Sitting] = map[int32]int{}
			}
			present[v.Sitting][v.Assessor]++
		}
		for sitting, people := range present {
			if s.Panel.Seats > 0 && len(people) > s.Panel.Seats {
				t.Fatalf("sitting %d has %d people on %d seats", sitting, len(people), s.Panel.Seats)
			}
			for _, plates := range people {
				if m := s.Serving.MaxPerSitting; m > 0 && plates > m {
					t.Fatalf("sitting %d serves %d to one assessor", sitting, plates)
				}
			}
		}
	})
}

func TestConflictsSayWhatToWrite(t *testing.T) {
	tests := []struct {
		name string
		edit func(*study.Study)
		want string
	}{
		{"too many for one sitting", func(s *study.Study) { s.Serving.MaxPerSitting = 4 },
			"6 samples with 4 per sitting need at least 2 sittings; planned: 1; write panel.sittings: 2"},
		{"warm-up counts", func(s *study.Study) { s.Serving.MaxPerSitting = 6; s.Serving.WarmUp = "S1" },
			"6 samples with 6 per sitting (a warm-up) need at least 2 sittings; planned: 1; write " +
				"panel.sittings: 2"},
		{"too few seats", func(s *study.Study) { s.Panel.Seats = 30 },
			"40 assessors with 30 seats need at least 2 sittings; planned: 1; write panel.sittings: 2"},
		{"seats and sittings", func(s *study.Study) {
			s.Panel.Seats = 30
			s.Serving.MaxPerSitting = 3
			s.Panel.Sittings = 2
		},
			"40 assessors with 30 seats and 2 sittings each need at least 4 sittings; planned: 2; write " +
				"panel.sittings: 4"},
		{"no room for a trial", func(s *study.Study) {
			s.Question = study.Triangle
			s.Samples = s.Samples[:2]
			s.Serving.MaxPerSitting = 2
		}, "one person gets at most 2 at a sitting, but a sitting needs at least 3 servings; " +
			"write most per sitting: 3 or more"},
		{"three samples in a triangle", func(s *study.Study) { s.Question = study.Triangle },
			"triangle compares two samples; there are 6; write two samples"},
		{"all samples in an incomplete design", func(s *study.Study) {
			s.Serving.Design, s.Serving.PerAssessor = study.Some, 6
		},
			"each assessor gets 6 of 6 samples; write per assessor: 2 to 5, or another serving.design"},
		{"unknown warm-up", func(s *study.Study) { s.Serving.WarmUp = "X" },
			`serving.warm-up is "X", which is not a sample; write the id of a sample`},
		{"long series", func(s *study.Study) {
			s.Question = study.ANotA
			s.Samples = s.Samples[:2]
			s.Serving.Replicates = 9
		}, "9 servings in a series are too many: it has at most 8; write replicates: 8 or fewer"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			s := tasting(6, 40)
			tc.edit(s)
			_, err := Draw(s, Options{Seed: 1})
			if !errors.Is(err, ErrConflict) || err.Error() != tc.want {
				t.Errorf("got  %v\nwant %s", err, tc.want)
			}
		})
	}
}

func TestUnknownEngine(t *testing.T) {
	if _, err := Draw(tasting(4, 4), Options{Engine: 99}); !errors.Is(err, ErrUnknownEngine) {
		t.Errorf("got %v", err)
	}
}

func TestWarnings(t *testing.T) {
	tests := []struct {
		name string
		edit func(*study.Study)
		code string
		want string
	}{
		{"shared codes", func(s *study.Study) {
			s.Serving.Codes = study.CodePerSample
		}, "codes-shared", "neighbours can compare"},
		{"too many sittings", func(s *study.Study) {
			s.Panel.Sittings = 5
			s.Serving.MaxPerSitting = 3
		}, "sittings-unused", "4 of the 5 sittings"},
		{"no balanced design", func(s *study.Study) {
			*s = *tasting(18, 36)
			s.Serving.Design, s.Serving.PerAssessor = study.Some, 7
		}, "blocks-unbalanced", "18 samples with 7 to each of 36"},
		{"unfinished block", func(s *study.Study) { s.Panel.Assessors = 40 }, "panel-uneven", "36 or 42 would be " +
			"quite even"},
		{"unfinished first block", func(s *study.Study) {
			s.Panel.Assessors = 5
		}, "panel-uneven", "; 6 would be quite even"},
		{"unfinished orders", func(s *study.Study) {
			*s = *difference(study.Triangle, 20, 2)
		}, "panel-uneven", "last block of 3"},
		{"a full block", func(s *study.Study) { s.Panel.Assessors = 42 }, "", ""},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			s := tasting(6, 36)
			tc.edit(s)
			if tc.code != "codes-shared" {
				s.Serving.Codes = study.CodePerServing
			}
			p := mustDraw(t, s, Options{Seed: 1})
			if tc.code == "" {
				if len(p.Warnings) > 0 {
					t.Errorf("got %v", p.Warnings)
				}
				return
			}
			var text string
			for _, w := range p.Warnings {
				if w.Code == tc.code {
					text = w.Text
				}
			}
			if !strings.Contains(text, tc.want) {
				t.Errorf("got %v, want %s: %s", p.Warnings, tc.code, tc.want)
			}
		})
	}
}

func TestAttending(t *testing.T) {
	s := tasting(4, 7)
	s.Panel.Sittings, s.Serving.MaxPerSitting = 4, 2
	p := mustDraw(t, s, Options{Seed: 1})
	want := "[[] [0 1 2 3] [4 5 6] [0 1 2 3] [4 5 6] []]"
	var got [][]int
	for sitting := range 6 {
		got = append(got, p.Attending(sitting))
	}
	if fmt.Sprint(got) != want {
		t.Errorf("got %v, want %s", got, want)
	}
}
