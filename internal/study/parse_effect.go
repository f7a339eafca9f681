package study

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// effect reads which levels of the name or the dish are compared, and sets the usual test.
func (o object) effect(s *Study, p *AnalysisPlan) {
	if !o.comparesAll() {
		p.Levels = o.factorLevels(s, p.EffectOf)
	}
	c, crossed := s.Crossed()
	switch {
	case s.Serving.Design == Some:
		p.Test = MixedF
	case crossed && !c.IsContrast(*p):
		p.Test = RMAnova
	default:
		p.Test = PairedT
	}
}

func (o object) factorLevels(s *Study, f Factor) (pair [2]string) {
	known, list := []string{}, "names"
	switch f {
	case DishFactor:
		list = "dishes"
		for _, id := range dishIDs(s.Dishes) {
			known = append(known, string(id))
		}
	default:
		for _, id := range nameIDs(s.Names) {
			known = append(known, string(id))
		}
		if slices.ContainsFunc(s.Samples, func(x Sample) bool { return x.Name == "" }) {
			known = append(known, Blind)
		}
	}
	i := 0
	o.list("compare", 2, 2, func(path string, node ast.Node) {
		if i < len(pair) {
			pair[i] = resolve(o.reader, path, "one of the "+list, node, list, known)
		}
		i++
	})
	if i > 0 && pair[0] != "" && pair[0] == pair[1] {
		o.reject(o.sub("compare")+"[1]", Say("%s is compared with itself", quoted(pair[0])),
			Say("write two that differ"))
	}
	return pair
}

// effectFits checks a plan that compares the names or the dishes of crossed samples.
func (r *reader) effectFits(s *Study) {
	p := s.Plan
	if p.EffectOf == "" || !r.sound("analysis.effect of", "samples", "analysis.compare") {
		return
	}
	c, ok := s.Crossed()
	switch {
	case !ok:
		r.reject("analysis.effect of",
			Say("the samples are no table of dishes and names: not every dish is served once under "+
				"every name"), Say("write a sample of each dish under each name (or blind), or leave the line out and "+
				"write compare: [A, B]"))
		return
	case r.sound("serving.design") && s.Serving.Design == One:
		r.reject("analysis.effect of",
			Say("each assessor gets one sample, so that nobody can compare names over dishes"),
			Say("leave the line out and write compare: [A, B]"))
		return
	}
	r.levelsFit(p, c)
	if p.Sides != TwoSided && !c.IsContrast(p) && r.sound("analysis.sides", "analysis.compare") {
		r.reject("analysis.sides", Say("more than two compared together have no first one that could be greater"),
			Say("write sides: two"))
	}
	may := []Test{RMAnova, MixedF}
	switch {
	case s.Serving.Design == Some: // nobody has the whole table
		may = []Test{MixedF}
	case c.IsContrast(p):
		may = []Test{PairedT, SignedRank, Equivalence, MixedF}
	}
	if !slices.Contains(may, p.Test) && r.sound("analysis.test", "analysis.compare", "serving.design") {
		words := make([]string, len(may))
		for i, t := range may {
			words[i] = string(t)
		}
		r.reject("analysis.test", Say("%s does not test this effect of the %s", p.Test, p.EffectOf),
			Say("write test: %s", strings.Join(words, " or ")))
	}
}

// levelsFit checks the levels that are compared.
func (r *reader) levelsFit(p AnalysisPlan, c Crossed) {
	two := p.Levels != [2]string{}
	switch {
	case p.EffectOf == NameByDish && two:
		r.reject("analysis.compare", Say("whether the name depends on the dish is asked of all names and dishes"),
			Say("write compare: all"))
	case p.EffectOf == NameByDish:
	case !two && len(c.Levels(p.EffectOf)) == 2:
		all := c.Levels(p.EffectOf)
		r.reject("analysis.compare", Say("there are two of the %s, and which is the first is not said",
			Say(map[Factor]string{NameFactor: "names", DishFactor: "dishes"}[p.EffectOf])),
			Say("write compare: [%s, %s], the first minus the second", all[0], all[1]))
	case two:
		for i, level := range p.Levels {
			if level != "" && !slices.Contains(c.Levels(p.EffectOf), level) {
				r.reject(fmt.Sprintf("analysis.compare[%d]", i), Say("no sample is of %s", quoted(level)),
					Say("write one of %s", strings.Join(c.Levels(p.EffectOf), ", ")))
			}
		}
	}
}
