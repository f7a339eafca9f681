package calibrate

import (
	"fmt"
	"strings"

	"cloche/internal/study"
)

// modelKind is a kind whose model has more in it than people and samples: several ratings of
// a sample, evenings, strata, the order of labels.
type modelKind struct {
	kind
	evenings  int  // on which the panel tastes; 0 = one
	describes bool // the question describes all samples
}

const strata = "design: one\n  strata:\n    - {id: table, levels: [bar, room]}"

var modelKinds = []modelKind{
	{kind: kind{name: "four samples twice each", samples: 4, attributes: 2, scale: line, assessors: 14,
		serving: "design: all\n  replicates: 2", plan: "compare: all\n  test: mixed-f"}},
	{kind: kind{name: "four samples twice each, a pair by the model", samples: 4, attributes: 1, scale: line,
		assessors: 14, serving: "design: all\n  replicates: 2", plan: "compare: [S1, S2]\n  test: mixed-t"}},
	{kind: kind{name: "four samples, people on five evenings", samples: 4, attributes: 1, scale: line, assessors: 20,
		serving: "design: all", plan: "compare: all\n  test: mixed-f"}, evenings: 5},
	{kind: kind{name: "four samples, two on each of two evenings", samples: 4, attributes: 1, scale: line,
		assessors: 16, serving: "design: all\n  most per sitting: 2", plan: "compare: all\n  test: mixed-f"},
		evenings: 4},
	{kind: kind{name: "seven samples, three each, a pair by the model", samples: 7, attributes: 2, scale: line,
		assessors: 21, serving: "design: some\n  per assessor: 3", plan: "compare: [S1, S2]\n  test: mixed-t"}},
	{kind: kind{name: "seven samples, three each, on three evenings", samples: 7, attributes: 1, scale: line,
		assessors: 21, serving: "design: some\n  per assessor: 3", plan: "compare: [S1, S2]\n  test: mixed-t"},
		evenings: 3},
	{kind: kind{name: "one sample each, practically the same", samples: 2, attributes: 1, scale: line, assessors: 40,
		serving: "design: one", plan: "compare: [S1, S2]\n  test: equivalence\n  smallest effect: 15"}},
	{kind: kind{name: "one sample each within strata, Welch", samples: 2, attributes: 2, scale: line, assessors: 24,
		serving: strata, plan: "compare: [S1, S2]\n  test: welch-t"}},
	{kind: kind{name: "one sample each within strata, rank sum", samples: 2, attributes: 1, scale: line,
		assessors: 24, serving: strata, plan: "compare: [S1, S2]\n  test: rank-sum"}},
	{kind: kind{name: "one sample each within strata, practically the same", samples: 2, attributes: 1, scale: line,
		assessors: 40, serving: strata,
		plan: "compare: [S1, S2]\n  test: equivalence\n  smallest effect: 15"}},
	{kind: kind{name: "two samples, five labels by their order", samples: 2, attributes: 2, scale: five,
		assessors: 30, serving: "design: all", plan: "compare: [S1, S2]\n  test: ordinal"}},
	{kind: kind{name: "one sample each, five labels by their order", samples: 2, attributes: 1, scale: five,
		assessors: 60, serving: "design: one", plan: "compare: [S1, S2]\n  test: ordinal"}},
	{kind: kind{name: "a profile of four samples, twice each on two evenings", samples: 4, attributes: 3, scale: line,
		assessors: 10, serving: "replicates: 2\n  most per sitting: 4"}, evenings: 2, describes: true},
}

// asks is the question of the kind.
func (k modelKind) asks() study.Question {
	for _, q := range study.Questions() {
		if k.describes && q.Kind().Describes {
			return q
		}
	}
	return asked(k.crossed)
}

// file is the study file of a kind.
func (k modelKind) file() string {
	text := k.kind.file(k.asks())
	if k.evenings == 0 {
		return text
	}
	return strings.Replace(text, "panel: {", fmt.Sprintf("panel: {sittings: %d, ", k.evenings), 1)
}
