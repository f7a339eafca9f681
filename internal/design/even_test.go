package design

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// TestNeighboursAreEvenWhenDishesAreKeptApart: after a whole round of matches every
// two samples of different dishes have followed each other equally often.
func TestNeighboursAreEvenWhenDishesAreKeptApart(t *testing.T) {
	for dishes := 2; dishes <= 4; dishes++ {
		for names := 2; names <= 4; names++ {
			t.Run(fmt.Sprintf("%d dishes, %d names", dishes, names), func(t *testing.T) {
				s := naming(dishes, names, false, 1)
				s.Panel.Sittings, s.Serving.KeepDishesApart = names, true
				all := make([]int32, len(s.Samples))
				ordinals(all)
				a := newApart(s, all, 1)
				for seed := range uint64(5) {
					p := mustDraw(t, s, Options{Seed: seed, Assessors: a.round()})
					checkApartPairs(t, p, names, a.round())
				}
			})
		}
	}
}

func checkApartPairs(t *testing.T, p *Plan, names, n int) {
	t.Helper()
	follow := newCounts(len(p.Samples), len(p.Samples))
	var before *Serving
	for i := range p.Servings {
		v := &p.Servings[i]
		if follows(before, v) {
			follow[before.Sample][v.Sample]++
		}
		before = v
	}
	dishes := len(p.Samples) / names
	for x := range follow {
		for y, got := range follow[x] {
			want := n / (dishes * names) // n·names·(dishes−1) neighbours over dishes·(dishes−1)·names² pairs
			if x/names == y/names {
				want = 0
			}
			if got != want {
				t.Fatalf("sample %d after %d: %d times, want %d", y, x, got, want)
			}
		}
	}
}

// TestRecipeOrNameNeighbours: 48 assessors of the worked example, named parts.
func TestRecipeOrNameNeighbours(t *testing.T) {
	s := example(t, "recipe-or-name")
	for seed := range uint64(20) {
		b := weigh(t, mustDraw(t, s, Options{Seed: seed}), s)
		for x, row := range b.Following {
			for y, n := range row {
				sx, sy := s.Samples[x], s.Samples[y]
				if sx.Dish != sy.Dish && sx.Name != "" && sy.Name != "" && n != 12 {
					t.Fatalf("seed %d: %s after %s %d times, want 12", seed, sy.ID, sx.ID, n)
				}
			}
		}
	}
}

// TestIncompleteBlocksEvenOutNeighbours: after k repeats of a balanced design (2k
// for odd k) every ordered pair is equally frequent, in every round of replicates.
func TestIncompleteBlocksEvenOutNeighbours(t *testing.T) {
	for _, size := range [][2]int{{7, 3}, {6, 3}, {9, 4}, {13, 4}, {5, 2}, {5, 4}, {11, 5}} {
		for passes := 1; passes <= 2; passes++ {
			t.Run(fmt.Sprintf("%d by %d, %d times", size[0], size[1], passes), func(t *testing.T) {
				base := blocksFor(size[0], size[1], 400)
				n := len(base.Rows) * len(williamsSquare(size[1]))
				s := replicated(tasting(size[0], n), passes)
				s.Serving.Codes = study.CodePerSample
				s.Serving.Design, s.Serving.PerAssessor = study.Some, size[1]
				follow := newCounts(size[0], size[0])
				p := mustDraw(t, s, Options{Seed: 3})
				k := int32(size[1])
				for i, v := range p.Servings[1:] {
					before := p.Servings[i]
					if before.Assessor == v.Assessor && before.Sample == v.Sample && k > 2 {
						t.Fatalf("assessor %d gets one sample twice in a row", v.Assessor)
					}
					if before.Assessor == v.Assessor && v.Position%k != 1 {
						follow[before.Sample][v.Sample]++
					}
				}
				if d := offDiagonal(follow); !d.Equal() {
					t.Errorf("ordered pairs %v", d)
				}
			})
		}
	}
}

func TestSevenCaramelsNeighbours(t *testing.T) {
	s := example(t, "seven-caramels")
	for seed := range uint64(20) {
		b := weigh(t, mustDraw(t, s, Options{Seed: seed}), s)
		if d := offDiagonal(b.Following); d.Min != 2 || d.Max != 2 {
			t.Fatalf("seed %d: ordered pairs %v, want 2", seed, d)
		}
	}
}

// TestSittingsPartNeighbours: where a sitting ends within an order, what is tasted
// at two sittings is left out of what is evened out.
func TestSittingsPartNeighbours(t *testing.T) {
	worst := func(s *study.Study) int {
		sum := 0
		for seed := range uint64(20) {
			d := offDiagonal(weigh(t, mustDraw(t, s, Options{Seed: seed}), s).Following)
			sum = max(sum, d.Max-d.Min)
		}
		return sum
	}
	all := tasting(6, 60)
	all.Panel.Sittings, all.Serving.MaxPerSitting = 2, 3
	if d := worst(all); d > 3 {
		t.Errorf("all: ordered pairs at one sitting differ by up to %d", d)
	}
	some := tasting(7, 84)
	some.Serving.Design, some.Serving.PerAssessor = study.Some, 4
	some.Panel.Sittings, some.Serving.MaxPerSitting = 2, 2
	if d := worst(some); d > 4 {
		t.Errorf("some: ordered pairs at one sitting differ by up to %d", d)
	}
}

// TestNobodyMeetsACodeAgain: over all sittings, whichever way codes are drawn.
func TestNobodyMeetsACodeAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := tasting(rapid.IntRange(4, 8).Draw(t, "samples"), rapid.IntRange(1, 200).Draw(t, "assessors"))
		s.Serving.MaxPerSitting = rapid.IntRange(2, 4).Draw(t, "most per sitting")
		s.Serving.Codes = rapid.SampledFrom([]study.CodePolicy{study.CodePerServing, study.CodePerSample}).Draw(t,
			"codes")
		s.Serving.WarmUp = "S1"
		s.Serving.SpareCodes = rapid.IntRange(0, 20).Draw(t, "spare codes")
		s.Panel.Sittings = 8
		p, err := Draw(s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		if err != nil {
			checkConflict(t, err)
			return
		}
		checkNoCodeTwice(t, p)
	})
}

func checkNoCodeTwice(t *rapid.T, p *Plan) {
	t.Helper()
	for i := range p.Assessors {
		met := map[Code]bool{}
		for _, v := range p.Assessor(i) {
			if v.Role == Expected {
				continue
			}
			if met[v.Code] {
				t.Fatalf("assessor %d meets code %v again at sitting %d", i, v.Code, v.Sitting)
			}
			met[v.Code] = true
		}
	}
}

// TestTheLastCodesAreSwapped: a sitting that needs every code there is, of people who
// have met many of them.
func TestTheLastCodesAreSwapped(t *testing.T) {
	each := 40
	s := tasting(each, 1)
	s.Samples = s.Samples[:26]
	n := len(allowedCodes()) / 13
	s.Panel.Sittings, s.Serving.MaxPerSitting, s.Serving.SpareCodes, s.Serving.Codes = 2, 13, 0, study.CodePerServing
	for seed := range uint64(30) {
		p := mustDraw(t, s, Options{Seed: seed, Assessors: n})
		for i := range p.Assessors {
			codes := p.codesOf(int32(i))
			slices.Sort(codes)
			if len(slices.Compact(slices.Clone(codes))) != len(codes) {
				t.Fatalf("seed %d: assessor %d meets a code twice: %v", seed, i, codes)
			}
		}
	}
}

// TestGuessOfTwoOrders works the chance out by hand: in a block of two orders the
// first is guessed once in two, the second always; in blocks of one, two or three
// pairs, by going through every series.
func TestGuessOfTwoOrders(t *testing.T) {
	s := tasting(2, 40)
	b := weigh(t, mustDraw(t, s, Options{Seed: 1}), s)
	if b.Guess.Chance != 0.75 || b.Guess.Mixed {
		t.Errorf("fixed blocks of two: %+v, want 0.75", b.Guess)
	}
	want := guessByHand()
	if got := guessRandom(2); math.Abs(got-want) > 0.005 {
		t.Errorf("blocks of 2, 4 or 6: %v, want %v", got, want)
	}
	s.Serving.Blocks = study.RandomBlocks
	b = weigh(t, mustDraw(t, s, Options{Seed: 1}), s)
	if math.Abs(b.Guess.Chance-want) > 0.005 || !b.Guess.Mixed {
		t.Errorf("random blocks of two: %+v, want %v", b.Guess, want)
	}
}

// guessByHand sums over all series of two letters with m of each, m one to three
// equally likely: the best guess at each step is right for as many series as its
// letter has, so that nothing is taken from the code under test.
func guessByHand() float64 {
	type series struct {
		text   string
		weight float64
	}
	var all []series
	var spell func(text string, a, b int, weight float64)
	spell = func(text string, a, b int, weight float64) {
		if a+b == 0 {
			all = append(all, series{text, weight})
			return
		}
		if a > 0 {
			spell(text+"A", a-1, b, weight)
		}
		if b > 0 {
			spell(text+"B", a, b-1, weight)
		}
	}
	for m, ways := range map[int]float64{1: 2, 2: 6, 3: 20} {
		spell("", m, m, 1/(3*ways))
	}
	right, steps := 0.0, 0.0
	for j := range 6 {
		next := map[string]map[byte]float64{}
		for _, x := range all {
			if len(x.text) > j {
				if next[x.text[:j]] == nil {
					next[x.text[:j]] = map[byte]float64{}
				}
				next[x.text[:j]][x.text[j]] += x.weight
				steps += x.weight
			}
		}
		for _, letters := range next {
			right += max(letters['A'], letters['B'])
		}
	}
	return right / steps
}

// TestRandomBlocksAreHarderToGuess for every kind of study, and the report says so.
func TestRandomBlocksAreHarderToGuess(t *testing.T) {
	for name, s := range shapes() {
		if s.Serving.Minimise {
			continue
		}
		p := mustDraw(t, s, Options{Seed: 1})
		b := weigh(t, p, s)
		if g := b.Guess; g.Random >= g.Fixed || g.Random <= 0 || g.Fixed > 1 {
			t.Errorf("%s: %+v", name, g)
		}
		var text strings.Builder
		if err := b.WriteText(&text); err != nil || !strings.Contains(text.String(),
			"can guess the next order at most") {
			t.Errorf("%s: the report does not say how often orders can be guessed", name)
		}
	}
}

// TestBlocksOfRandomSize serve the same orders, in another sequence: blocks of two
// are broken, and no prefix is further from even than three.
func TestBlocksOfRandomSize(t *testing.T) {
	s := tasting(2, 60)
	s.Serving.Blocks = study.RandomBlocks
	broken := false
	for seed := range uint64(20) {
		p := mustDraw(t, s, Options{Seed: seed})
		b := weigh(t, p, s)
		if b.Prefix.WorstPosition > largestBlock || b.Positions[0][0] != 30 {
			t.Fatalf("seed %d: prefix %d, %d of 60 begin with the first", seed, b.Prefix.WorstPosition,
				b.Positions[0][0])
		}
		broken = broken || b.Prefix.WorstPosition > 1
	}
	if !broken {
		t.Error("blocks are as they were")
	}
	one := tasting(3, 60)
	one.Serving.Design, one.Serving.Blocks = study.One, study.FixedBlocks
	p := mustDraw(t, one, Options{Seed: 1})
	for i := 0; i < 60; i += 3 {
		if x := p.Servings[i].Sample + p.Servings[i+1].Sample + p.Servings[i+2].Sample; x != 3 {
			t.Fatalf("block at %d: %v", i, p.Servings[i:i+3])
		}
	}
}
