package store

import (
	"fmt"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// The sizes: a kitchen, a restaurant with all its guests, a group of restaurants
// or a university's panel.
var crowds = []crowd{
	{assessors: 12, servings: 3, attributes: 4},
	{assessors: 120, servings: 4, attributes: 6},
	{assessors: 500, servings: 8, attributes: 10},
}

func BenchmarkSeat(b *testing.B) {
	for _, size := range crowds {
		b.Run(fmt.Sprintf("places=%d", size.assessors), func(b *testing.B) {
			s := openSQLite(b)
			b.ReportAllocs()
			next := size.assessors
			for i := 0; b.Loop(); i++ {
				if next == size.assessors { // full: a new study, not counted
					b.StopTimer()
					size.study, next = panel.StudyID(fmt.Sprintf("study-%d", i)), 0
					size.open(b, s)
					b.StartTimer()
				}
				if _, err := s.Seat(b.Context(), size.assessor(next), size.token(next), nil, logged); err != nil {
					b.Fatal(err)
				}
				next++
			}
		})
	}
}

func BenchmarkRate(b *testing.B) {
	for _, size := range crowds {
		b.Run(fmt.Sprintf("assessors=%d/attributes=%d", size.assessors, size.attributes), func(b *testing.B) {
			s := openSQLite(b)
			b.ReportAllocs()
			all := size.assessors * size.servings
			next := all
			for i := 0; b.Loop(); i++ {
				if next == all { // everything is rated: a new study, not counted
					b.StopTimer()
					size.study, next = panel.StudyID(fmt.Sprintf("study-%d", i)), 0
					size.open(b, s)
					size.seat(b, s)
					b.StartTimer()
				}
				rateNth(b, s, size, next)
				next++
			}
		})
	}
}

func BenchmarkProgress(b *testing.B) {
	for _, size := range []crowd{{study: "s", assessors: 40, servings: 4, attributes: 3},
		{study: "s", assessors: 250, servings: 8, attributes: 5}} {
		all := size.assessors * size.servings
		b.Run(fmt.Sprintf("ratings=%d", all*size.attributes), func(b *testing.B) {
			s := openSQLite(b)
			size.open(b, s)
			size.seat(b, s)
			for n := range all {
				rateNth(b, s, size, n)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Progress(b.Context(), size.study); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkEvening reads what every page of a room is counted from.
func BenchmarkEvening(b *testing.B) {
	for _, size := range []crowd{{study: "s", assessors: 12, servings: 3, attributes: 2},
		{study: "s", assessors: 100, servings: 4, attributes: 2}} {
		s := openSQLite(b)
		size.open(b, s)
		size.seat(b, s)
		for n := range size.assessors * size.servings {
			rateNth(b, s, size, n)
		}
		for name, read := range map[string]func() error{
			"people":   func() error { _, err := s.Assessors(b.Context(), size.study); return err },
			"turns":    func() error { _, err := s.AllTurns(b.Context(), size.study); return err },
			"answered": func() error { _, err := s.AnsweredTurns(b.Context(), size.study); return err },
			"vacant":   func() error { _, err := s.VacantPlaces(b.Context(), size.study); return err },
		} {
			b.Run(fmt.Sprintf("%s/assessors=%d", name, size.assessors), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := read(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// rateNth rates the nth serving of a crowd, everybody's first before anybody's
// second.
func rateNth(b *testing.B, s *Store, c crowd, n int) {
	b.Helper()
	assessor, order := n%c.assessors, n/c.assessors
	first, err := storetest.Rate(b.Context(), s, c.assessor(assessor).ID, c.turn(assessor, order),
		c.answers(c.turn(assessor, order), 50), evening)
	if err != nil || !first {
		b.Fatalf("rate: %v, %v", first, err)
	}
}
