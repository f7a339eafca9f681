package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"cloche/internal/design"
	"cloche/internal/study"
)

// planView is what one reader of a plan may see, in every format.
type planView struct {
	csv  func(io.Writer) error
	text func(io.Writer) error
	json any
}

func (v planView) write(w io.Writer, format string) error {
	switch format {
	case "json":
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(v.json)
	case "text":
		return v.text(w)
	}
	return v.csv(w)
}

// planViews are the views by name.
var planViews = map[string]func(*study.Study, *design.Plan) (planView, error){
	"key": keyView, "kitchen": kitchenView, "floor": floorView, "balance": balanceView,
}

// sheet is a table of text.
type sheet struct {
	header []string
	rows   [][]string
}

func (t *sheet) add(cells ...any) {
	row := make([]string, len(cells))
	for i, c := range cells {
		row[i] = fmt.Sprint(c)
	}
	t.rows = append(t.rows, row)
}

func (t *sheet) writeCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(t.header); err != nil {
		return err
	}
	return out.WriteAll(t.rows)
}

func (t *sheet) writeText(w io.Writer) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range append([][]string{t.header}, t.rows...) {
		if _, err := fmt.Fprintln(out, strings.Join(row, "\t")); err != nil {
			return err
		}
	}
	return out.Flush()
}

// keyView has everything. Its CSV is promised on the help page on files.
func keyView(s *study.Study, p *design.Plan) (planView, error) {
	var key bytes.Buffer
	if err := p.WriteKey(&key, s); err != nil {
		return planView{}, err
	}
	text := &sheet{header: []string{"assessor", "sitting", "turn", "position", "code", "sample", "dish", "name",
		"kind"}}
	wire := keyJSON{
		Study: s.Title, PlanHash: p.Hash(), Engine: p.Engine, Seed: p.Seed,
		Assessors: p.Assessors, Sittings: p.Sittings, Samples: p.Samples, SpareCodes: spareCodes(p),
		Servings: []keyServingJSON{},
	}
	for _, v := range p.Servings {
		id := p.Samples[v.Sample]
		x, _ := s.Sample(id)
		row := keyServingJSON{
			Assessor: int(v.Assessor) + 1, Sitting: int(v.Sitting), Turn: int(v.Turn), Position: int(v.Position),
			Kind: v.Role.String(), Code: v.Code, Sample: string(id), Dish: string(x.Dish),
			Name: string(x.Name),
		}
		if p.Stratum != nil {
			row.Stratum = int(p.Stratum[v.Assessor]) + 1
			row.Levels = design.StratumLevels(s, p.Stratum[v.Assessor])
		}
		wire.Servings = append(wire.Servings, row)
		text.add(v.Assessor+1, v.Sitting, v.Turn, v.Position, v.Code, id, x.Dish, x.Name, v.Role)
	}
	return planView{
		csv:  func(w io.Writer) error { _, err := w.Write(key.Bytes()); return err },
		text: text.writeText, json: wire,
	}, nil
}

func spareCodes(p *design.Plan) []sparesJSON {
	spares := []sparesJSON{}
	for i, codes := range p.Spares {
		if len(codes) == 0 {
			continue
		}
		spares = append(spares, sparesJSON{i + 1, codes})
	}
	return spares
}

// kitchenView says what to plate under which code, wave by wave. It knows no
// names, not the study's question, and nothing from which the plan could be
// drawn again.
func kitchenView(s *study.Study, p *design.Plan) (planView, error) {
	plates := kitchenPlates(s, p)
	table := &sheet{header: []string{"sitting", "wave", "dish", "code", "assessor", "kind"}}
	for _, x := range plates {
		table.add(x.Sitting, x.Wave, x.Dish, x.Code, x.Assessor, x.Kind)
	}
	b, err := p.CountBalance(s)
	if err != nil {
		return planView{}, err
	}
	wire := kitchenJSON{
		PlanHash: p.Hash(), Dishes: dishesJSON(s, b), Portions: b.Portions, Plates: plates, SpareCodes: spareCodes(p),
	}
	return planView{
		csv:  table.writeCSV,
		text: func(w io.Writer) error { return writeKitchen(w, wire) },
		json: wire,
	}, nil
}

// kitchenPlates lists the plates by sitting, wave, dish and code.
func kitchenPlates(s *study.Study, p *design.Plan) []plateJSON {
	rank := map[string]int{}
	for i, d := range s.Dishes {
		rank[string(d.ID)] = i
	}
	plates := []plateJSON{}
	p.EachPlate(func(v design.Serving, wave int) {
		x, _ := s.Sample(p.Samples[v.Sample])
		plates = append(plates, plateJSON{
			Sitting: int(v.Sitting), Wave: wave, Dish: string(x.Dish), Code: v.Code,
			Assessor: int(v.Assessor) + 1, Kind: v.Role.String(),
		})
	})
	slices.SortStableFunc(plates, func(x, y plateJSON) int {
		for _, d := range [...]int{x.Sitting - y.Sitting, x.Wave - y.Wave, rank[x.Dish] - rank[y.Dish]} {
			if d != 0 {
				return d
			}
		}
		return cmp.Compare(x.Code, y.Code)
	})
	return plates
}

// floorView says which code goes to whom and what to call it. It knows no
// dishes and no samples, not the study's question, and nothing from which the
// plan could be drawn again.
func floorView(s *study.Study, p *design.Plan) (planView, error) {
	wire := floorJSON{PlanHash: p.Hash(), Servings: []floorServingJSON{}}
	table := &sheet{header: []string{"sitting", "assessor", "turn", "order", "code", "say", "kind"}}
	order, last := 0, design.Serving{Assessor: -1}
	for _, v := range p.Servings {
		if v.Assessor != last.Assessor || v.Sitting != last.Sitting {
			order = 0
		}
		order++
		last = v
		x := floorServingJSON{
			Sitting: int(v.Sitting), Assessor: int(v.Assessor) + 1, Turn: int(v.Turn), Order: order,
			Code: v.Code,
			Say:  s.NameText(p.Samples[v.Sample]), Kind: v.Role.String(),
		}
		wire.Servings = append(wire.Servings, x)
	}
	slices.SortStableFunc(wire.Servings, func(x, y floorServingJSON) int { return x.Sitting - y.Sitting })
	for _, x := range wire.Servings {
		table.add(x.Sitting, x.Assessor, x.Turn, x.Order, x.Code, x.Say, x.Kind)
	}
	return planView{csv: table.writeCSV, text: table.writeText, json: wire}, nil
}

// writeKitchen writes the plating sheet: portions first, then the codes of each
// wave dish by dish.
func writeKitchen(w io.Writer, k kitchenJSON) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	line := func(cells ...string) { fmt.Fprintln(out, strings.Join(cells, "\t")) }
	line("dish", "title", "portion", "serve at", "portions in all", "allergens")
	for _, d := range k.Dishes {
		line(d.Dish, d.Title, d.Portion, d.ServeAt, strconv.Itoa(d.Portions), strings.Join(d.Allergens, ", "))
	}
	line("")
	line("sitting", "wave", "dish", "portions", "codes")
	at := 0
	for _, x := range k.Portions {
		var codes []design.Code
		for range x.Portions {
			codes = append(codes, k.Plates[at].Code)
			at++
		}
		line(strconv.Itoa(x.Sitting), strconv.Itoa(x.Wave), string(x.Dish), strconv.Itoa(x.Portions),
			codeList(codes))
	}
	for _, x := range k.SpareCodes {
		line("")
		line(fmt.Sprintf("spare codes of sitting %d: %s", x.Sitting, codeList(x.Codes)))
	}
	return out.Flush()
}

func codeList(codes []design.Code) string { return strings.Trim(fmt.Sprint(codes), "[]") }
