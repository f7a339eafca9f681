package study

import (
	"slices"

	"github.com/goccy/go-yaml/ast"
)

// The words of a file that has to choose one.
var (
	designs         = []Design{All, Some, One}
	references      = []Reference{BalancedReference, ConstantReference}
	attributeOrders = []AttributeOrder{FixedOrder, RotatedOrder}
	trayOpenings    = []TrayOpening{ByAllCodes, ByFirstCode}
	codePolicies    = []CodePolicy{CodePerServing, CodePerSample}
	tableOrders     = []TableOrder{MixedOrders, SameOrder}
	blockSizes      = []BlockSize{FixedBlocks, RandomBlocks}
	factors         = []Factor{NameFactor, DishFactor, NameByDish}
	plannedTests    = []Test{PairedT, SignedRank, Equivalence, Lottery, Ordinal, WelchT, RankSum, MixedT, MixedF,
		RMAnova,
		Friedman}
	allSides       = []Sides{TwoSided, Greater, Less}
	adjustments    = []Adjustment{Holm, NoAdjustment}
	undecidedRules = []UndecidedRule{DropUndecided, SplitUndecided}
)

var servingKeys = []key{
	optional("design"),
	{"per assessor", false, Say("per assessor: and how many samples each assessor gets")},
	optional("replicates"),
	optional("warm-up"),
	optional("fixed reference"),
	optional("reference"),
	optional("blind first"),
	optional("keep dishes apart"),
	optional("expectation"),
	optional("expectation of half"),
	optional("attributes"),
	optional("show numbers"),
	optional("one question a screen"),
	optional("taste once"),
	optional("tray opens"),
	optional("plate gate"),
	optional("most per sitting"),
	optional("codes"),
	optional("spare codes"),
	optional("rinse"),
	optional("minutes at the pass"),
	optional("at one table"),
	optional("minutes of grace"),
	optional("time zone"),
	optional("seed"),
	optional("strata"),
	optional("minimise"),
	optional("blocks"),
}

// What holds when a study file does not say.
const (
	defaultSpares = 10
	defaultRinse  = 30 // seconds; 30 to 60 s between samples is common practice, no source
	defaultPass   = 3  // minutes; common practice, no source
	mostPass      = 60 // minutes
	defaultGrace  = 5  // minutes; common practice, no source
	mostGrace     = 30 // minutes
	defaultAlpha  = 0.05
	defaultBeta   = 0.05 // of a plan that may call two samples alike
)

// defaultServing is how a study is served that leaves it open.
func defaultServing(q Question) Serving {
	v := Serving{Design: All, Replicates: 1, Attributes: FixedOrder, Codes: CodePerServing, SpareCodes: defaultSpares,
		RinseSeconds: defaultRinse, Blocks: FixedBlocks, TrayOpens: ByAllCodes, PlateGate: gateUsual(q),
		PassMinutes: defaultPass, AtOneTable: MixedOrders, GraceMinutes: defaultGrace}
	if q.Kind().Reference {
		v.Reference = BalancedReference
	}
	return v
}

// gateUsual is whether a study that does not say has a plate gate: where names are compared,
// what a name does has to begin with the plate, and not with a page that was open before.
func gateUsual(q Question) bool { return q.Kind().NamesMatter }

func (o object) serving(s *Study) Serving {
	v := defaultServing(s.Question)
	node, ok := o.value("serving")
	if !ok {
		return v
	}
	b, ok := o.object("serving", Say("the section serving"), node, servingKeys)
	if !ok {
		return v
	}
	v = Serving{
		Design:          word(b, "design", v.Design, designs),
		PerAssessor:     b.integer("per assessor", 0, 2, maxSamples),
		Replicates:      b.integer("replicates", v.Replicates, 1, maxReplicates),
		WarmUp:          refer(b, "warm-up", "samples", sampleIDs(s.Samples)),
		FixedReference:  refer(b, "fixed reference", "samples", sampleIDs(s.Samples)),
		Reference:       word(b, "reference", v.Reference, references),
		BlindFirst:      b.boolean("blind first"),
		KeepDishesApart: b.boolean("keep dishes apart"),
		Expectation:     b.boolean("expectation"),
		AskHalf:         b.boolean("expectation of half"),
		Attributes:      word(b, "attributes", v.Attributes, attributeOrders),
		ShowNumbers:     b.boolean("show numbers"),
		OneQuestion:     b.boolean("one question a screen"),
		TasteOnce:       b.boolean("taste once"),
		TrayOpens:       word(b, "tray opens", v.TrayOpens, trayOpenings),
		PlateGate:       b.booleanOr("plate gate", v.PlateGate),
		MaxPerSitting:   b.integer("most per sitting", 0, 1, maxSamples*maxReplicates),
		Codes:           word(b, "codes", v.Codes, codePolicies),
		SpareCodes:      b.integer("spare codes", v.SpareCodes, 0, maxSpares),
		RinseSeconds:    b.pause("rinse", v.RinseSeconds),
		PassMinutes:     b.integer("minutes at the pass", v.PassMinutes, 1, mostPass),
		AtOneTable:      word(b, "at one table", v.AtOneTable, tableOrders),
		GraceMinutes:    b.integer("minutes of grace", v.GraceMinutes, 0, mostGrace),
		Zone:            b.zone("time zone"),
		Seed:            b.seed("seed"),
		HasSeed:         o.written("serving.seed"),
		Strata:          b.strata(),
		Minimise:        b.boolean("minimise"),
	}
	v.Blocks = word(b, "blocks", v.usualBlocks(), blockSizes)
	return v
}

var analysisKeys = []key{
	{"compare", false, Say("compare: [A, B], the first minus the second")},
	{"attribute", false, Say("attribute: and the id of the attribute that decides")},
	optional("liking"),
	optional("effect of"),
	optional("test"),
	optional("sides"),
	optional("alpha"),
	optional("smallest effect"),
	optional("beta"),
	optional("stop early"),
	optional("looks"),
	optional("spending"),
	optional("evidence"),
	optional("evidence at"),
	optional("adjust"),
	optional("undecided"),
	optional("expected order"),
	optional("wanted rating"),
	optional("stop after"),
	optional("stop by"),
}

// analysis reads the analysis plan. A rating study must say what it will compare
// and on which attribute before anybody tastes; a difference test has one
// comparison by its nature, so that the whole section may be left out.
func (o object) analysis(s *Study) AnalysisPlan {
	p := defaultPlan(s)
	rates := s.Question.CollectsRatings()
	keys := slices.Clone(analysisKeys)
	if rates {
		keys[0].required, keys[1].required = s.Question.Kind().Plans("compare"), true
	}
	node, ok := o.value("analysis")
	if !ok {
		if _, written := o.values["analysis"]; !written && rates && !o.meant["analysis"] {
			instead := Say("write analysis: with compare: [A, B] and attribute: and an id")
			if !s.Question.Kind().Plans("compare") {
				instead = Say("write analysis: with attribute: and an id")
			}
			o.reject("analysis", Say("the study has no \"analysis\""), instead)
		}
		return p
	}
	b, ok := o.object("analysis", Say("the section analysis"), node, keys)
	if !ok {
		return p
	}
	p.EffectOf = word(b, "effect of", "", factors)
	switch p.WholePanel = rates && p.EffectOf == "" && b.comparesAll() || s.Question.Kind().Describes; {
	case p.WholePanel:
		p.Test = MixedF
	case p.EffectOf != "":
		b.effect(s, &p)
	case b.sound("analysis.effect of"): // else it is not known what is compared
		p.Compare = b.compare(p.Compare, s.Samples)
	}
	p.Attribute = refer(b, "attribute", "attributes", attributeIDs(s.Attributes))
	if p.Liking = refer(b, "liking", "attributes", attributeIDs(s.Attributes)); !b.written("analysis.liking") {
		p.Liking = s.usualLiking()
	}
	p.Test = word(b, "test", p.Test, plannedTests)
	p.Sides = word(b, "sides", p.Sides, allSides)
	p.Alpha = b.number("alpha", p.Alpha, Say("a number above 0 and at most 0.5"),
		func(v float64) bool { return v > 0 && v <= 0.5 })
	p.SmallestEffect = b.smallestEffect(s.Question.Kind())
	p.StopEarly = b.boolean("stop early")
	p.Looks, p.Spending = b.looks()
	p.Evidence, p.EvidenceAt = b.evidence()
	if p.MayBeAlike() && !rates {
		p.Beta = defaultBeta
	}
	p.Beta = b.number("beta", p.Beta, Say("a number above 0 and at most 0.5"),
		func(v float64) bool { return v > 0 && v <= 0.5 })
	p.Adjust = word(b, "adjust", p.Adjust, adjustments)
	p.Undecided = word(b, "undecided", "", undecidedRules)
	b.list("expected order", fewestRanked, mostRanked, func(path string, node ast.Node) {
		p.Expected = append(p.Expected, resolve(b.reader, path, "a sample", node, "samples", sampleIDs(s.Samples)))
	})
	p.WantedRating = b.wantedRating()
	p.StopAfter = b.integer("stop after", 0, 1, maxAssessors)
	p.StopBy = b.day("stop by")
	return p
}

// smallestEffect reads a number of scale points, or a share of the answers or of the people.
func (o object) smallestEffect(k QuestionKind) float64 {
	if above := k.ShareAbove; k.ShareEffect() {
		allowed := Say("a share of the answers above %s and at most 1, as in 0.65", shortest(above))
		return o.number("smallest effect", 0, allowed, func(v float64) bool { return v > above && v <= 1 })
	}
	if k.Tells {
		return o.number("smallest effect", 0,
			Say("a share of the people above 0 and below 1, as in 0.3 for three of ten"),
			func(v float64) bool { return v > 0 && v < 1 })
	}
	return o.number("smallest effect", 0,
		Say("a number of scale points above 0"), func(v float64) bool { return v > 0 })
}

// defaultPlan is the analysis plan of a study that leaves it open.
func defaultPlan(s *Study) AnalysisPlan {
	p := AnalysisPlan{Sides: TwoSided, Alpha: defaultAlpha}
	k := s.Question.Kind()
	if len(k.Sides) > 0 { // the question could be read
		p.Sides = k.Sides[0]
	}
	switch {
	case k.ID.CollectsRatings():
		p.Test, p.Adjust = PairedT, Holm
		if s.Serving.Design == One || k.OneDish {
			p.Test = WelchT
		}
	case k.Orders() && len(s.Samples) == 2:
		p.Compare = [2]SampleID{s.Samples[0].ID, s.Samples[1].ID}
	}
	return p
}

// allSamples is written in place of a pair when all samples are compared together.
const allSamples = "all"

// comparesAll reports whether all samples are to be compared together.
func (o object) comparesAll() bool {
	node, ok := o.values["compare"].(*ast.StringNode)
	return ok && node.Value == allSamples
}

func (o object) compare(pair [2]SampleID, samples []Sample) [2]SampleID {
	i := 0
	o.list("compare", 2, 2, func(path string, node ast.Node) {
		if i < len(pair) {
			pair[i] = resolve(o.reader, path, "a sample", node, "samples", sampleIDs(samples))
		}
		i++
	})
	if i > 0 && pair[0] != "" && pair[0] == pair[1] {
		o.reject(o.sub("compare")+"[1]", Say("sample %s is compared with itself", quoted(string(pair[0]))),
			Say("write two samples that differ"))
	}
	return pair
}
