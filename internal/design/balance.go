package design

import (
	"fmt"
	"slices"
	"strings"

	"cloche/internal/study"
)

// Balance says how even a plan is: what it promised, counted on what it serves.
// Counts are of rated servings unless a field says otherwise.
type Balance struct {
	Samples   []study.SampleID `json:"samples"`
	Assessors int              `json:"assessors"`
	Sittings  []SittingLoad    `json:"sittings"`
	Served    []int            `json:"served"`    // times each sample is served
	Positions [][]int          `json:"positions"` // sample × position (from 1, at index 0): times
	// first sample × second sample: times the second came next at the same sitting
	Following [][]int          `json:"following"`
	Prefix    PrefixBalance    `json:"prefix"`
	Guess     Guess            `json:"guess"`
	Orders    []OrderCount     `json:"orders"` // of turns of several servings, or of a series; none otherwise
	Blocks    *BlockBalance    `json:"blocks"`
	Strata    []StratumBalance `json:"strata"`
	Codes     CodeBalance      `json:"codes"`
	Portions  []Portion        `json:"portions"` // all plates, warm-ups and references too
	Dishes    []DishCount      `json:"dishes"`   // all plates of each dish, in the order of the study
	Warnings  []Warning        `json:"warnings"` // those of the plan
	groups    sampleGroups     // which samples are compared with each other
}

// SittingLoad is what one sitting takes.
type SittingLoad struct {
	Sitting   int `json:"sitting"`
	Assessors int `json:"assessors"`
	Plates    int `json:"plates"` // rated servings, warm-ups and references
}

// PrefixBalance is how uneven the plan is when it stops after any number of
// assessors: index i holds the figure after i+1 assessors. A figure is the
// largest count less the smallest. With blind samples first, blind and named
// samples are compared among themselves.
type PrefixBalance struct {
	Served        []int `json:"served"`       // times served, over samples
	Positions     []int `json:"positions"`    // times at a position, over samples; the largest over positions
	Following     []int `json:"following"`    // ordered pairs of different samples
	WorstServed   int   `json:"worst_served"` // the largest of each
	WorstPosition int   `json:"worst_position"`
	WorstPair     int   `json:"worst_following"`
}

// OrderCount is how often a turn of several servings is served in one order:
// A is the first sample of the study, B the second, a reference comes first.
type OrderCount struct {
	Order string `json:"order"`
	Times int    `json:"times"`
}

// BlockBalance describes incomplete blocks.
type BlockBalance struct {
	T          int     `json:"t"`
	K          int     `json:"k"`
	B          int     `json:"b"`      // blocks served: assessors
	R          Spread  `json:"r"`      // times a sample is served to somebody
	Lambda     Spread  `json:"lambda"` // assessors who get both of two samples
	Efficiency float64 `json:"efficiency"`
	Balanced   bool    `json:"balanced"`
	Period     int     `json:"period"` // blocks after which the design repeats itself
	Left       int     `json:"left"`   // assessors short of the next full repeat; 0 at one
	Method     string  `json:"method"` // how the design was built
}

// StratumBalance is how often each sample is given within one combination of
// levels.
type StratumBalance struct {
	Levels    []string `json:"levels"`
	Assessors int      `json:"assessors"`
	Served    []int    `json:"served"`
}

// CodeBalance is what became of the blinding codes.
type CodeBalance struct {
	Allowed int `json:"allowed"` // codes of a sitting
	Used    int `json:"used"`    // most at one sitting, spare codes too
	// plates whose code another plate of another meaning carries at the same sitting
	Collisions int `json:"collisions"`
}

// Portion is how many portions of a dish the kitchen plates for one wave: the
// n-th plate of everybody at a sitting.
type Portion struct {
	Sitting  int          `json:"sitting"`
	Wave     int          `json:"wave"`
	Dish     study.DishID `json:"dish"`
	Portions int          `json:"portions"`
}

// DishCount is the portions of one dish in all.
type DishCount struct {
	Dish     study.DishID `json:"dish"`
	Portions int          `json:"portions"`
}

// CountBalance counts how even a plan is. The study must be the one that the plan was
// drawn from. What is undealt is not counted.
func (p *Plan) CountBalance(s *study.Study) (*Balance, error) {
	samples, err := p.resolve(s)
	if err != nil {
		return nil, err
	}
	b := &Balance{
		Samples: p.Samples, Assessors: p.Assessors, Warnings: append([]Warning{}, p.Warnings...),
		Orders: []OrderCount{}, Strata: []StratumBalance{},
	}
	c, err := newScheme(s, Options{Assessors: p.Assessors, stratum: p.Stratum})
	if err != nil {
		return nil, fmt.Errorf("weigh the plan: %w", err)
	}
	b.Guess = c.guess()
	b.groups = newSampleGroups(s, p)
	b.countServings(p)
	b.weighPrefixes(p)
	b.countOrders(s, p)
	b.weighBlocks(s, p)
	b.countStrata(s, p)
	b.countPlates(s, p, samples)
	b.checkCodes(s, p)
	return b, nil
}

// positions is the highest position of a plan.
func (p *Plan) positions() int {
	most := int32(0)
	for _, v := range p.Servings {
		most = max(most, v.Position)
	}
	return int(most)
}

// follower is set for a rated serving that comes next after another at the same
// sitting of the same assessor.
func follows(before, v *Serving) bool {
	return before != nil && before.Assessor == v.Assessor && before.Sitting == v.Sitting
}

func (b *Balance) countServings(p *Plan) {
	t := len(p.Samples)
	b.Served = make([]int, t)
	b.Positions, b.Following = newCounts(t, p.positions()), newCounts(t, t)
	var before *Serving
	for i := range p.Servings {
		v := &p.Servings[i]
		if v.Role != Rated || v.Sample == Undealt {
			continue
		}
		b.Served[v.Sample]++
		b.Positions[v.Sample][v.Position-1]++
		if follows(before, v) {
			b.Following[before.Sample][v.Sample]++
		}
		before = v
	}
}

// weighPrefixes counts again, assessor by assessor.
func (b *Balance) weighPrefixes(p *Plan) {
	t := len(p.Samples)
	served := make([]int, t)
	positions, following := newCounts(t, len(b.Positions[0])), newCounts(t, t)
	w := &b.Prefix
	w.Served, w.Positions, w.Following = make([]int, p.Assessors), make([]int, p.Assessors), make([]int, p.Assessors)
	at := 0
	for i := range p.Assessors {
		var before *Serving
		for ; at < len(p.Servings) && int(p.Servings[at].Assessor) == i; at++ {
			v := &p.Servings[at]
			if v.Role != Rated || v.Sample == Undealt {
				continue
			}
			served[v.Sample]++
			positions[v.Sample][v.Position-1]++
			if follows(before, v) {
				following[before.Sample][v.Sample]++
			}
			before = v
		}
		w.Served[i] = b.groups.servedSpread(served)
		w.Positions[i] = b.groups.positionSpread(positions, b.Positions)
		w.Following[i] = b.groups.pairSpread(following, b.Following)
	}
	w.WorstServed, w.WorstPosition, w.WorstPair = slices.Max(w.Served), slices.Max(w.Positions), slices.Max(w.Following)
}

// countOrders counts the orders of a question that has some of its own.
func (b *Balance) countOrders(s *study.Study, p *Plan) {
	d, _ := drawingOf(s.Question)
	if d.orders == nil {
		return
	}
	times := map[string]int{}
	for _, o := range d.orders(s) {
		times[o] = 0
	}
	for i := range p.Assessors {
		series := ""
		for t := range p.Turns(i) {
			if t.Role != Rated {
				continue
			}
			if series += lettersOfTurn(t); !d.series {
				times[series]++
				series = ""
			}
		}
		if d.series && series != "" {
			times[series]++
		}
	}
	for o, n := range times {
		b.Orders = append(b.Orders, OrderCount{o, n})
	}
	slices.SortFunc(b.Orders, func(x, y OrderCount) int { return strings.Compare(x.Order, y.Order) })
}

// lettersOfTurn spells what is served in a turn: A for the first sample.
func lettersOfTurn(t Turn) string {
	row := make([]int32, len(t.Servings))
	for j, v := range t.Servings {
		row[j] = v.Sample
	}
	return lettersOf(row)
}

func lettersOf(row []int32) string {
	letters := make([]byte, len(row))
	for j, x := range row {
		letters[j] = 'A' + byte(x)
	}
	return string(letters)
}

// weighBlocks describes the incomplete blocks of a plan.
func (b *Balance) weighBlocks(s *study.Study, p *Plan) {
	if s.Serving.Design != study.Some {
		return
	}
	k := s.Serving.PerAssessor
	got := &Blocks{T: len(p.Samples), K: k}
	for i := range p.Assessors {
		row := make([]int32, 0, k)
		for _, v := range p.Assessor(i) {
			if v.Role == Rated && !contains(row, v.Sample) {
				row = append(row, v.Sample)
			}
		}
		got.Rows = append(got.Rows, row)
	}
	base := blocksFor(len(p.Samples), k, p.Assessors)
	period := len(base.Rows)
	b.Blocks = &BlockBalance{
		T: got.T, K: k, B: p.Assessors,
		R: got.R(), Lambda: got.Lambda(), Efficiency: got.Efficiency(), Balanced: got.IsBalanced(),
		Period: period, Left: (period - p.Assessors%period) % period, Method: base.Method,
	}
}

func (b *Balance) countStrata(s *study.Study, p *Plan) {
	cells := int32(0)
	for _, cell := range p.Stratum {
		cells = max(cells, cell+1) // Undealt: nobody has arrived
	}
	b.Strata = make([]StratumBalance, cells)
	for cell := range cells {
		b.Strata[cell] = StratumBalance{Levels: StratumLevels(s, cell), Served: make([]int, len(p.Samples))}
	}
	for _, cell := range p.Stratum {
		if cell != Undealt {
			b.Strata[cell].Assessors++
		}
	}
	for _, v := range p.Servings {
		if v.Role == Rated && v.Sample != Undealt && cells > 0 {
			b.Strata[p.Stratum[v.Assessor]].Served[v.Sample]++
		}
	}
}

// EachPlate calls f for every plate of the plan, in serving order, with its wave:
// 1 for the first plate of its assessor at its sitting.
func (p *Plan) EachPlate(f func(v Serving, wave int)) {
	wave, last := 0, Serving{Assessor: -1}
	for _, v := range p.Servings {
		if v.Role == Expected {
			continue
		}
		if v.Assessor != last.Assessor || v.Sitting != last.Sitting {
			wave = 0
		}
		wave++
		last = v
		f(v, wave)
	}
}

func (b *Balance) countPlates(s *study.Study, p *Plan, samples []study.Sample) {
	type place struct {
		sitting, wave int
		dish          study.DishID
	}
	portions := map[place]int{}
	dishes := map[study.DishID]int{}
	b.Sittings = make([]SittingLoad, p.Sittings)
	for i := range b.Sittings {
		b.Sittings[i].Sitting = i + 1
	}
	p.EachPlate(func(v Serving, wave int) {
		if v.Sample == Undealt {
			return
		}
		dish := samples[v.Sample].Dish
		portions[place{int(v.Sitting), wave, dish}]++
		dishes[dish]++
		load := &b.Sittings[v.Sitting-1]
		load.Plates++
		if wave == 1 {
			load.Assessors++
		}
	})
	for _, d := range s.Dishes {
		b.Dishes = append(b.Dishes, DishCount{d.ID, dishes[d.ID]})
	}
	for at, n := range portions {
		b.Portions = append(b.Portions, Portion{at.sitting, at.wave, at.dish, n})
	}
	rank := map[study.DishID]int{}
	for i, d := range s.Dishes {
		rank[d.ID] = i
	}
	slices.SortFunc(b.Portions, func(x, y Portion) int {
		if x.Sitting != y.Sitting {
			return x.Sitting - y.Sitting
		}
		if x.Wave != y.Wave {
			return x.Wave - y.Wave
		}
		return rank[x.Dish] - rank[y.Dish]
	})
}

// checkCodes looks for codes that two plates of a sitting share though they
// should not.
func (b *Balance) checkCodes(s *study.Study, p *Plan) {
	type label struct {
		sitting int32
		code    Code
	}
	owner := map[label]plateSort{}
	used := make([]int, p.Sittings)
	see := func(at label, t plateSort) {
		other, taken := owner[at]
		if !taken {
			owner[at] = t
			used[at.sitting-1]++
		}
		if taken && (other != t || s.Serving.Codes != study.CodePerSample) {
			b.Codes.Collisions++
		}
	}
	eachPlateSort(p, func(v *Serving, t plateSort) { see(label{v.Sitting, v.Code}, t) })
	for i, spares := range p.Spares {
		for _, c := range spares {
			see(label{int32(i + 1), c}, plateSort{sample: none})
		}
	}
	b.Codes.Allowed, b.Codes.Used = len(allowedCodes()), slices.Max(used)
}
