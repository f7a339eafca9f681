package calibrate

import (
	"fmt"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Kind is a kind of plan with a small study of it.
type Kind struct {
	Name  string
	Study *study.Study
}

// kind is what a small study consists of.
type kind struct {
	name       string
	samples    int
	crossed    bool // two dishes under two names
	laid       bool // the middle one once more under a name
	attributes int
	right      bool // and whether the first of them is about right
	scale      string
	assessors  int
	serving    string
	plan       string
	sittings   int // 0 = one
}

const (
	line = "{line: [little, much]}"
	five = "{categories: [not at all, a little, somewhat, quite, very]}"

	words = "{words: [smooth, grainy, salty, sweet, bitter, sour]}"
)

// kinds are the plans of ratings that can be analysed, each in a small study. Small panels
// show a fault of a test where it is largest.
var kinds = []kind{
	{"two samples, paired t", 2, false, false, 3, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"two samples, one-sided", 2, false, false, 1, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: paired-t\n  sides: greater", 0},
	{"two samples, signed ranks", 2, false, false, 3, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: signed-rank", 0},
	{"two samples, the plan's lottery", 2, false, false, 1, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: lottery", 0},
	{"two samples, five labels", 2, false, false, 1, false, five, 24, "design: all",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"two samples, practically the same", 2, false, false, 1, false, line, 24, "design: all",
		"compare: [S1, S2]\n  test: equivalence\n  smallest effect: 8", 0},
	{"four samples, a pair", 4, false, false, 2, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"four samples, all of them", 4, false, false, 2, false, line, 16, "design: all",
		"compare: all\n  test: mixed-f", 0},
	{"four samples, repeated measures", 4, false, false, 1, false, line, 16, "design: all",
		"compare: all\n  test: rm-anova", 0},
	{"four samples, Friedman", 4, false, false, 1, false, line, 16, "design: all", "compare: all\n  test: friedman", 0},
	{"four samples, five labels", 4, false, false, 1, false, five, 24, "design: all",
		"compare: all\n  test: mixed-f", 0},
	{"two dishes under two names", 4, true, false, 1, false, line, 16, "design: all",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"the effect of a name over two dishes", 4, true, false, 1, false, line, 16, "design: all",
		"effect of: name\n  compare: [N1, N2]\n  test: paired-t", 0},
	{"whether a name does more for one dish", 4, true, false, 1, false, line, 16, "design: all",
		"effect of: name by dish\n  compare: all\n  test: paired-t", 0},
	{"seven samples, three each", 7, false, false, 1, false, line, 21, "design: some\n  per assessor: 3",
		"compare: all\n  test: mixed-f", 0},
	{"one sample each, Welch", 2, false, false, 2, false, line, 24, "design: one",
		"compare: [S1, S2]\n  test: welch-t", 0},
	{"one sample each, rank sum", 3, false, false, 1, false, line, 30, "design: one",
		"compare: [S1, S2]\n  test: rank-sum", 0},
	{"two samples, each of them twice", 2, false, false, 1, false, line, 16, "design: all\n  replicates: 2",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"two samples, about right beside liking", 2, false, false, 1, true, line, 40, "design: all",
		"compare: [S1, S2]\n  test: paired-t", 0},
	{"two samples, looks at two of three sittings", 2, false, false, 2, false, line, 36, "design: all",
		"compare: [S1, S2]\n  test: paired-t\n  looks: [12, 24]", 3},
	{"two samples, evidence after everybody", 2, false, false, 1, false, line, 48, "design: all",
		"compare: [S1, S2]\n  test: paired-t\n  evidence: mixture", 0},
	{"two samples, evidence by betting", 2, false, false, 1, false, line, 48, "design: all",
		"compare: [S1, S2]\n  test: paired-t\n  evidence: betting", 0},
}

// doseKinds are series of amounts, from 0 on in steps of one.
var doseKinds = []kind{
	{name: "five amounts", samples: 5, attributes: 2, scale: line, assessors: 16, serving: "design: all"},
	{name: "a name over five amounts that are told apart", samples: 5, laid: true, attributes: 2, scale: line,
		assessors: 16, serving: "design: all", plan: "smallest effect: 6"},
	{name: "a name over five amounts that are hardly told apart", samples: 5, laid: true, attributes: 1, scale: line,
		assessors: 16, serving: "design: all", plan: "smallest effect: 1.5"},
	{name: "a name over five amounts, four of the six each", samples: 5, laid: true, attributes: 1, scale: line,
		assessors: 30, serving: "design: some\n  per assessor: 4", plan: "smallest effect: 6"},
}

// wayKinds are a dish under a name that is read before tasting, and blind: the number of guests.
var wayKinds = []int{30, 60}

// oneDishKinds are one dish that is asked about right: the number of guests.
var oneDishKinds = []int{30, 120}

// fileOfWay is the study file of such a kind.
func fileOfWay(name string, assessors int) string {
	return fmt.Sprintf("cloche: 1\ntitle: %s\nquestion: %s\n"+
		"dishes: [{id: d, title: Dish, portion: 10 g, serve at: 20 °C, allergens: []}]\n"+
		"names: [{id: n, text: a name}]\nsamples: [{id: A, dish: d, name: n}, {id: B, dish: d, blind: true}]\n"+
		"attributes: [{id: a, ask: How much?, scale: %s}]\npanel: {assessors: %d}\n"+
		"serving: {design: all, blind first: true, expectation: true}\n"+
		"texts: {consent: You may stop., instructions: Taste and answer.}\n"+
		"analysis: {compare: [A, B], attribute: a, test: paired-t}\n", name, asked(true), line, assessors)
}

// fileOfOneDish is the study file of one dish that is asked about right.
func fileOfOneDish(name string, assessors int) string {
	var of study.Question
	for _, q := range study.Questions() {
		if q.Kind().OneDish {
			of = q
		}
	}
	return fmt.Sprintf("cloche: 1\ntitle: %s\nquestion: %s\n"+
		"dishes: [{id: d, title: Dish, portion: 10 g, serve at: 20 °C, allergens: []}]\n"+
		"samples: [{id: A, dish: d, blind: true}]\nattributes:\n  - {id: a, ask: How good?, scale: %s}\n"+
		"  - {id: right, ask: Enough?, scale: {about right: [too little, about right, too much]}}\n"+
		"panel: {assessors: %d}\ntexts: {consent: You may stop., instructions: Taste and answer.}\n"+
		"analysis: {attribute: right, liking: a, smallest effect: 10}\n", name, of, line, assessors)
}

// ofAmounts is the question of a series of amounts.
func ofAmounts() study.Question {
	for _, q := range study.Questions() {
		if q.Kind().Amounts && !q.Kind().Ascending {
			return q
		}
	}
	return ""
}

// asked is the question of ratings, about dishes or about the names on them.
func asked(names bool) study.Question {
	for _, q := range study.Questions() {
		if q.CollectsRatings() && !q.Kind().Amounts && q.Kind().NamesMatter == names {
			return q
		}
	}
	return ""
}

// choosing is the plan of a question that is answered otherwise than by ratings.
func choosing(q study.Question) kind {
	of := q.Kind()
	k := kind{name: string(q), samples: of.Samples, assessors: 40}
	if of.MostSamples > of.Samples {
		k.samples = max(of.Samples, min(4, of.MostSamples))
	}
	if of.Attributes != study.NoAttributes {
		k.attributes = 1
	}
	if of.Response == study.TickWords {
		k.samples, k.scale = 4, words
	}
	if of.Orders() {
		k.plan = "compare: [S1, S2]"
	}
	return k
}

// Kinds are small studies of every kind of plan that can be analysed.
func Kinds() ([]Kind, error) {
	var all []Kind
	add := func(k kind, q study.Question) error {
		s, problems := study.Parse(k.name, []byte(k.file(q)))
		if len(problems) > 0 {
			return fmt.Errorf("the study of %s: %w", k.name, problems[0])
		}
		all = append(all, Kind{k.name, s})
		return nil
	}
	for _, k := range kinds {
		if err := add(k, asked(k.crossed)); err != nil {
			return nil, err
		}
	}
	for _, k := range doseKinds {
		if err := add(k, ofAmounts()); err != nil {
			return nil, err
		}
	}
	for _, k := range modelKinds {
		s, problems := study.Parse(k.name, []byte(k.file()))
		if len(problems) > 0 {
			return nil, fmt.Errorf("the study of %s: %w", k.name, problems[0])
		}
		all = append(all, Kind{k.name, s})
	}
	for _, n := range oneDishKinds {
		name := fmt.Sprintf("one dish about right, %d guests", n)
		s, problems := study.Parse(name, []byte(fileOfOneDish(name, n)))
		if len(problems) > 0 {
			return nil, fmt.Errorf("the study of %s: %w", name, problems[0])
		}
		all = append(all, Kind{name, s})
	}
	for _, n := range wayKinds {
		name := fmt.Sprintf("a name expected, blind and named, %d guests", n)
		s, problems := study.Parse(name, []byte(fileOfWay(name, n)))
		if len(problems) > 0 {
			return nil, fmt.Errorf("the study of %s: %w", name, problems[0])
		}
		all = append(all, Kind{name, s})
	}
	for _, q := range study.Questions() {
		if q.CollectsRatings() || !analysis.Finds(q) {
			continue
		}
		if err := add(choosing(q), q); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// file is the study file of a kind.
func (k kind) file(q study.Question) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cloche: 1\ntitle: %s\nquestion: %s\n", k.name, q)
	amounts := q.Kind().Amounts
	if amounts {
		b.WriteString("amounts in: g of salt per litre\n")
	}
	b.WriteString("dishes:\n")
	dishes := k.samples
	if k.crossed {
		dishes = 2
	}
	for i := range dishes {
		amount := ""
		if amounts {
			amount = fmt.Sprintf(", amount: %d", i)
		}
		fmt.Fprintf(&b, "  - {id: D%d, title: Dish %d%s, portion: 10 g, serve at: 20 °C, allergens: []}\n", i+1, i+1,
			amount)
	}
	if k.laid {
		b.WriteString("names:\n  - {id: N1, text: Name 1}\n")
	}
	if k.crossed {
		b.WriteString("names:\n  - {id: N1, text: Name 1}\n  - {id: N2, text: Name 2}\n")
	}
	b.WriteString("samples:\n")
	for i := range k.samples {
		if k.crossed {
			fmt.Fprintf(&b, "  - {id: S%d, dish: D%d, name: N%d}\n", i+1, i/2+1, i%2+1)
			continue
		}
		fmt.Fprintf(&b, "  - {id: S%d, dish: D%d, blind: true}\n", i+1, i+1)
	}
	if k.laid {
		fmt.Fprintf(&b, "  - {id: L, dish: D%d, name: N1}\n", k.samples/2+1)
	}
	for i := range k.attributes {
		if i == 0 {
			b.WriteString("attributes:\n")
		}
		scale := ""
		if k.scale != "" {
			scale = ", scale: " + k.scale
		}
		fmt.Fprintf(&b, "  - {id: y%d, ask: How much?%s}\n", i+1, scale)
	}
	if k.right {
		b.WriteString("  - {id: right, ask: Enough?, scale: {about right: [too little, about right, too much]}}\n")
	}
	sittings := ""
	if k.sittings > 0 {
		sittings = fmt.Sprintf(", sittings: %d", k.sittings)
	}
	fmt.Fprintf(&b, "panel: {assessors: %d%s}\nserving:\n  rinse: 30 s\n  seed: 1\n  %s\n", k.assessors, sittings,
		k.serving)
	b.WriteString("texts:\n  consent: Yes.\n  instructions: Taste.\nanalysis:\n  alpha: 0.05\n")
	if q.Kind().Plans("attribute") {
		b.WriteString("  attribute: y1\n")
	}
	fmt.Fprintf(&b, "  %s\n", k.plan)
	return b.String()
}
