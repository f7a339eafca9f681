package main

import (
	"fmt"
	"io"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

// The JSON of a plan, one form for each reader. Readers ignore fields that they
// do not know.
type keyJSON struct {
	Study      string           `json:"study"`
	PlanHash   string           `json:"plan_hash"`
	Engine     int              `json:"engine"`
	Seed       uint64           `json:"seed"`
	Assessors  int              `json:"assessors"`
	Sittings   int              `json:"sittings"`
	Samples    []study.SampleID `json:"samples"`
	Servings   []keyServingJSON `json:"servings"`
	SpareCodes []sparesJSON     `json:"spare_codes"`
}

type keyServingJSON struct {
	Assessor int      `json:"assessor"`
	Sitting  int      `json:"sitting"`
	Turn     int      `json:"turn"`
	Position int      `json:"position"`
	Kind     string   `json:"kind"`
	Code     string   `json:"code"`
	Sample   string   `json:"sample"`
	Dish     string   `json:"dish"`
	Name     string   `json:"name"`
	Stratum  int      `json:"stratum,omitempty"` // combination of levels, from 1
	Levels   []string `json:"levels,omitempty"`
}

type sparesJSON struct {
	Sitting int      `json:"sitting"`
	Codes   []string `json:"codes"`
}

type kitchenJSON struct {
	PlanHash   string        `json:"plan_hash"`
	Dishes     []dishJSON    `json:"dishes"`
	Portions   []portionJSON `json:"portions"`
	Plates     []plateJSON   `json:"plates"`
	SpareCodes []sparesJSON  `json:"spare_codes"`
}

type dishJSON struct {
	Dish         string   `json:"dish"`
	Title        string   `json:"title"`
	Portion      string   `json:"portion"`
	ServeAt      string   `json:"serve_at"`
	Portions     int      `json:"portions"`
	Allergens    []string `json:"allergens"`
	AlsoContains []string `json:"also_contains"`
	Alcohol      bool     `json:"alcohol"`
}

type portionJSON struct {
	Sitting  int    `json:"sitting"`
	Wave     int    `json:"wave"`
	Dish     string `json:"dish"`
	Portions int    `json:"portions"`
}

type plateJSON struct {
	Sitting  int    `json:"sitting"`
	Wave     int    `json:"wave"`
	Dish     string `json:"dish"`
	Code     string `json:"code"`
	Assessor int    `json:"assessor"`
	Kind     string `json:"kind"`
}

type floorJSON struct {
	PlanHash string             `json:"plan_hash"`
	Servings []floorServingJSON `json:"servings"`
}

type floorServingJSON struct {
	Sitting  int    `json:"sitting"`
	Assessor int    `json:"assessor"`
	Turn     int    `json:"turn"`
	Order    int    `json:"order"`
	Code     string `json:"code"`
	Say      string `json:"say"`
	Kind     string `json:"kind"`
}

func dishesJSON(s *study.Study, b *design.Balance) []dishJSON {
	var dishes []dishJSON
	for i, d := range s.Dishes {
		x := dishJSON{
			Dish: string(d.ID), Title: d.Title, Portion: d.Portion, ServeAt: fmt.Sprintf("%g °C", d.ServeAt),
			Portions: b.Dishes[i].Portions, Allergens: []string{}, AlsoContains: append([]string{}, d.AlsoContains...), Alcohol: d.Alcohol,
		}
		for _, a := range d.Allergens {
			x.Allergens = append(x.Allergens, string(a))
		}
		dishes = append(dishes, x)
	}
	return dishes
}

type balanceJSON struct {
	Study     string             `json:"study"`
	PlanHash  string             `json:"plan_hash"`
	Samples   []study.SampleID   `json:"samples"`
	Assessors int                `json:"assessors"`
	Sittings  []sittingJSON      `json:"sittings"`
	Served    []int              `json:"served"`
	Positions [][]int            `json:"positions"`
	Following [][]int            `json:"following"`
	Prefix    prefixJSON         `json:"prefix"`
	Orders    []orderJSON        `json:"orders"`
	Blocks    *blocksJSON        `json:"blocks"`
	Strata    []stratumJSON      `json:"strata"`
	Codes     codesJSON          `json:"codes"`
	Guess     guessJSON          `json:"guess"`
	Portions  []portionJSON      `json:"portions"`
	Dishes    []dishPortionsJSON `json:"dishes"`
	Warnings  []planWarningJSON  `json:"warnings"`
}

type sittingJSON struct {
	Sitting   int `json:"sitting"`
	Assessors int `json:"assessors"`
	Plates    int `json:"plates"`
}

type prefixJSON struct {
	Served         []int `json:"served"`
	Positions      []int `json:"positions"`
	Following      []int `json:"following"`
	WorstServed    int   `json:"worst_served"`
	WorstPosition  int   `json:"worst_position"`
	WorstFollowing int   `json:"worst_following"`
}

type orderJSON struct {
	Order string `json:"order"`
	Times int    `json:"times"`
}

type blocksJSON struct {
	T          int     `json:"t"`
	K          int     `json:"k"`
	B          int     `json:"b"`
	R          [2]int  `json:"r"`
	Lambda     [2]int  `json:"lambda"`
	Efficiency float64 `json:"efficiency"`
	Balanced   bool    `json:"balanced"`
	Period     int     `json:"period"`
	Left       int     `json:"left"`
	Method     string  `json:"method"`
}

type stratumJSON struct {
	Levels    []string `json:"levels"`
	Assessors int      `json:"assessors"`
	Served    []int    `json:"served"`
}

// guessJSON is how often the next order can be guessed, at most.
type guessJSON struct {
	Chance       float64 `json:"chance"`
	RandomBlocks bool    `json:"random_blocks"`
}

type codesJSON struct {
	Allowed    int `json:"allowed"`
	Used       int `json:"used"`
	Collisions int `json:"collisions"`
}

type dishPortionsJSON struct {
	Dish     string `json:"dish"`
	Portions int    `json:"portions"`
}

type planWarningJSON struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// balanceView says how even the plan is.
func balanceView(s *study.Study, p *design.Plan) (planView, error) {
	b, err := p.Weigh(s)
	if err != nil {
		return planView{}, err
	}
	return planView{
		csv:  func(w io.Writer) error { return balanceSheet(b).writeCSV(w) },
		text: b.WriteText,
		json: balanceWire(s, p, b),
	}, nil
}

func balanceWire(s *study.Study, p *design.Plan, b *design.Balance) balanceJSON {
	x := balanceJSON{
		Study: s.Title, PlanHash: p.Hash(), Samples: b.Samples, Assessors: b.Assessors,
		Served: b.Served, Positions: b.Positions, Following: b.Following,
		Prefix: prefixJSON{
			b.Prefix.Served, b.Prefix.Positions, b.Prefix.Following,
			b.Prefix.WorstServed, b.Prefix.WorstPosition, b.Prefix.WorstPair,
		},
		Orders: []orderJSON{}, Strata: []stratumJSON{}, Warnings: []planWarningJSON{},
		Codes: codesJSON(b.Codes),
		Guess: guessJSON{b.Guess.Chance, b.Guess.Mixed},
	}
	for _, v := range b.Sittings {
		x.Sittings = append(x.Sittings, sittingJSON(v))
	}
	for _, v := range b.Orders {
		x.Orders = append(x.Orders, orderJSON(v))
	}
	for _, v := range b.Strata {
		x.Strata = append(x.Strata, stratumJSON(v))
	}
	for _, v := range b.Portions {
		x.Portions = append(x.Portions, portionJSON{v.Sitting, v.Wave, string(v.Dish), v.Portions})
	}
	for _, v := range b.Dishes {
		x.Dishes = append(x.Dishes, dishPortionsJSON{string(v.Dish), v.Portions})
	}
	for _, v := range b.Warnings {
		x.Warnings = append(x.Warnings, planWarningJSON(v))
	}
	if v := b.Blocks; v != nil {
		x.Blocks = &blocksJSON{
			T: v.T, K: v.K, B: v.B, R: [2]int{v.R.Min, v.R.Max}, Lambda: [2]int{v.Lambda.Min, v.Lambda.Max},
			Efficiency: v.Efficiency, Balanced: v.Balanced, Period: v.Period, Left: v.Left, Method: v.Method,
		}
	}
	return x
}

// balanceSheet is the balance report as one long table: what is counted, of
// what, at what, how often.
func balanceSheet(b *design.Balance) *sheet {
	t := &sheet{header: []string{"table", "row", "column", "value"}}
	for _, x := range b.Sittings {
		t.add("sitting", x.Sitting, "assessors", x.Assessors)
		t.add("sitting", x.Sitting, "plates", x.Plates)
	}
	for i, id := range b.Samples {
		t.add("served", id, "", b.Served[i])
		for j, n := range b.Positions[i] {
			t.add("position", id, j+1, n)
		}
		for j, n := range b.Following[i] {
			t.add("following", id, b.Samples[j], n)
		}
	}
	for i := range b.Assessors {
		t.add("prefix", i+1, "served", b.Prefix.Served[i])
		t.add("prefix", i+1, "position", b.Prefix.Positions[i])
		t.add("prefix", i+1, "following", b.Prefix.Following[i])
	}
	t.add("guess", "chance", "", b.Guess.Chance)
	for _, x := range b.Orders {
		t.add("order", x.Order, "", x.Times)
	}
	for _, x := range b.Strata {
		for i, n := range x.Served {
			t.add("stratum", strings.Join(x.Levels, ", "), b.Samples[i], n)
		}
	}
	if x := b.Blocks; x != nil {
		t.add("blocks", "efficiency", "", x.Efficiency)
		t.add("blocks", "r", "least", x.R.Min)
		t.add("blocks", "r", "most", x.R.Max)
		t.add("blocks", "lambda", "least", x.Lambda.Min)
		t.add("blocks", "lambda", "most", x.Lambda.Max)
	}
	t.add("codes", "allowed", "", b.Codes.Allowed)
	t.add("codes", "used", "", b.Codes.Used)
	t.add("codes", "collisions", "", b.Codes.Collisions)
	for _, x := range b.Portions {
		t.add("portions", fmt.Sprintf("%d/%d", x.Sitting, x.Wave), x.Dish, x.Portions)
	}
	return t
}
