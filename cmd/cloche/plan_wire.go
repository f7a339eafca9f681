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
	Assessor int         `json:"assessor"`
	Sitting  int         `json:"sitting"`
	Turn     int         `json:"turn"`
	Position int         `json:"position"`
	Kind     string      `json:"kind"`
	Code     design.Code `json:"code"`
	Sample   string      `json:"sample"`
	Dish     string      `json:"dish"`
	Name     string      `json:"name"`
	Stratum  int         `json:"stratum,omitempty"` // combination of levels, from 1
	Levels   []string    `json:"levels,omitempty"`
}

type sparesJSON struct {
	Sitting int           `json:"sitting"`
	Codes   []design.Code `json:"codes"`
}

type kitchenJSON struct {
	PlanHash   string           `json:"plan_hash"`
	Dishes     []dishJSON       `json:"dishes"`
	Portions   []design.Portion `json:"portions"`
	Plates     []plateJSON      `json:"plates"`
	SpareCodes []sparesJSON     `json:"spare_codes"`
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

type plateJSON struct {
	Sitting  int         `json:"sitting"`
	Wave     int         `json:"wave"`
	Dish     string      `json:"dish"`
	Code     design.Code `json:"code"`
	Assessor int         `json:"assessor"`
	Kind     string      `json:"kind"`
}

type floorJSON struct {
	PlanHash string             `json:"plan_hash"`
	Servings []floorServingJSON `json:"servings"`
}

type floorServingJSON struct {
	Sitting  int         `json:"sitting"`
	Assessor int         `json:"assessor"`
	Turn     int         `json:"turn"`
	Order    int         `json:"order"`
	Code     design.Code `json:"code"`
	Say      string      `json:"say"`
	Kind     string      `json:"kind"`
}

func dishesJSON(s *study.Study, b *design.Balance) []dishJSON {
	var dishes []dishJSON
	for i, d := range s.Dishes {
		x := dishJSON{
			Dish: string(d.ID), Title: d.Title, Portion: d.Portion, ServeAt: fmt.Sprintf("%g °C", d.ServeAt),
			Portions: b.Dishes[i].Portions, Allergens: []string{}, AlsoContains: append([]string{}, d.AlsoContains...),
			Alcohol: d.Alcohol,
		}
		for _, a := range d.Allergens {
			x.Allergens = append(x.Allergens, string(a))
		}
		dishes = append(dishes, x)
	}
	return dishes
}

type balanceJSON struct {
	Study    string `json:"study"`
	PlanHash string `json:"plan_hash"`
	*design.Balance
}

// balanceView says how even the plan is.
func balanceView(s *study.Study, p *design.Plan) (planView, error) {
	b, err := p.CountBalance(s)
	if err != nil {
		return planView{}, err
	}
	return planView{
		csv:  func(w io.Writer) error { return balanceSheet(b).writeCSV(w) },
		text: b.WriteText,
		json: balanceJSON{s.Title, p.Hash(), b},
	}, nil
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
