package study

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// checkTogether makes the checks that look at more than one value. Each leaves
// values alone that could not be read, so that one slip is reported once.
func (r *reader) checkTogether(s *Study) {
	for _, check := range []func(*Study){
		r.unused, r.sameSample, r.whatIsAsked, r.amountsFit, r.whatIsRated, r.revealed,
		r.servingFits, r.orderFits, r.analysisFits, r.aboutRightFits, r.stoppingFits, r.lastFits, r.looksFit,
		r.evidenceFits,
		r.roomForAll, r.ageForAlcohol,
	} {
		check(s)
	}
}

// sameSample finds samples that no assessor could tell apart and no analysis
// should.
func (r *reader) sameSample(s *Study) {
	type thing struct {
		dish DishID
		name NameID
	}
	if !r.sound("samples") {
		return
	}
	first := map[thing]SampleID{}
	for i, x := range s.Samples {
		path := fmt.Sprintf("samples[%d]", i)
		if x.Dish == "" || !r.sound(path+".dish", path+".name", path+".blind") {
			continue
		}
		t := thing{x.Dish, x.Name}
		if a, ok := first[t]; ok {
			r.reject(path, Say("samples %s and %s are the same dish under the same name", a, x.ID),
				Say("write another dish or name, or use \"replicates\" to serve one twice"))
			r.bad["samples"] = true
			continue
		}
		first[t] = x.ID
	}
}

// unused finds dishes and names that no sample uses: most often a slip, and an
// unused dish would add its allergens to what assessors are told.
func (r *reader) unused(s *Study) {
	if !r.sound("samples", "dishes", "names") {
		return
	}
	for i, d := range s.Dishes {
		if !slices.ContainsFunc(s.Samples, func(x Sample) bool { return x.Dish == d.ID }) &&
			!r.anyBad("samples", "dish") {
			r.reject(fmt.Sprintf("dishes[%d]", i), Say("dish %s is in no sample", quoted(string(d.ID))),
				Say("write a sample of it, or the study without it"))
		}
	}
	for i, n := range s.Names {
		if !slices.ContainsFunc(s.Samples, func(x Sample) bool { return x.Name == n.ID }) &&
			!r.anyBad("samples", "name") {
			r.reject(fmt.Sprintf("names[%d]", i), Say("name %s is in no sample", quoted(string(n.ID))),
				Say("write a sample under it, or the study without it"))
		}
	}
}

// anyBad reports whether a key could not be read in any item of a list.
func (r *reader) anyBad(list, name string) bool {
	for path := range r.bad {
		if strings.HasPrefix(path, list+"[") && strings.HasSuffix(path, "."+name) {
			return true
		}
	}
	return false
}

// whatIsAsked checks that the samples can answer the question.
func (r *reader) whatIsAsked(s *Study) {
	if !r.sound("question", "samples") || r.anyBad("samples", "name") || r.anyBad("samples", "dish") ||
		r.anyBad("samples", "blind") {
		return
	}
	if k := s.Question.Kind(); k.Samples > 0 {
		r.blindSamples(s, k)
	}
	if k := s.Question.Kind(); k.fits != nil {
		k.fits(r, s)
	}
}

// blindSamples checks the samples of a question that takes a number of them, blind.
func (r *reader) blindSamples(s *Study, k QuestionKind) {
	switch n := len(s.Samples); {
	case k.Takes(n):
	case k.OneDish:
		r.reject("samples", Say("a study of the question %s is of one dish; here are %s", k.ID, count(n, "sample")),
			Say("write one, or question: samples, which compares them"))
	default:
		r.reject("samples", Say("a %s test compares %s samples; here are %d", k.ID, Say(k.SamplesInWords()), n),
			Say("write %s", Say(k.SamplesInWords())))
	}
	for i, x := range s.Samples {
		if x.Name != "" {
			r.reject(fmt.Sprintf("samples[%d].name", i), Say("a %s test is served blind: %s", k.ID, Say(k.WhyBlind)),
				Say("write blind: true"))
		}
	}
}

// inWords writes a small number as a sentence does.
func inWords(n int) string {
	if words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}; n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

// whatIsRated checks that there are as many attributes as the question asks about,
// and that only ratings have a scale.
func (r *reader) whatIsRated(s *Study) {
	if !r.sound("question", "attributes") {
		return
	}
	n := len(s.Attributes)
	switch need := s.Question.Kind().Attributes; {
	case need == SomeRated:
		if n == 0 {
			r.reject("attributes", Say("the study has no \"attributes\""),
				Say("write attributes: and a list of what is rated"))
		}
		return
	case need == OneNamed && n != 1:
		r.reject("attributes", Say("a %s test asks about one attribute; here are %d", s.Question, n),
			Say("write one, whose \"ask\" is such as: %s", s.Question.Kind().AskAs))
	case need == NoAttributes && n > 0:
		r.reject("attributes", Say("a %s test has a question of its own and rates nothing", s.Question),
			Say("write the study without attributes"))
		return
	}
	for i, a := range s.Attributes {
		if a.Scale.Kind != "" {
			r.reject(fmt.Sprintf("attributes[%d].scale", i),
				Say("a %s test %s, and has no scale", s.Question, Say(s.Question.Kind().Counts)),
				Say("write the attribute without one"))
		}
	}
}

// text is what stands at a path.
type text struct{ path, words string }

// revealed finds a name that assessors would read before its serving comes, in
// each language by itself.
func (r *reader) revealed(s *Study) {
	if !r.sound("names") {
		return
	}
	texts := early("", s.Texts)
	for i, a := range s.Attributes {
		texts = append(texts, text{fmt.Sprintf("attributes[%d].ask", i), a.Ask})
		if a.Scale.Kind == WordList {
			texts = append(texts, eachWord(fmt.Sprintf("attributes[%d].scale.words", i), a.Scale.Labels)...)
		}
	}
	for i, x := range s.Panel.Screening {
		texts = append(texts, text{fmt.Sprintf("panel.screening[%d].ask", i), x.Ask})
	}
	for i, x := range s.Serving.Strata {
		texts = append(texts, stratumTexts(fmt.Sprintf("serving.strata[%d]", i), x.Ask, x.Levels)...)
	}
	r.revealedIn(s.Names, texts)
	for _, t := range s.Translations {
		path := "translations." + t.Language + "."
		texts := early(path, t.Texts)
		for _, a := range t.Attributes {
			texts = append(texts, text{fmt.Sprintf("%sattributes.%s.ask", path, a.ID), a.Ask})
			if of, _ := s.Attribute(a.ID); of.Scale.Kind == WordList {
				texts = append(texts, eachWord(fmt.Sprintf("%sattributes.%s.words", path, a.ID), a.Labels)...)
			}
		}
		for _, w := range t.Screening {
			texts = append(texts, text{path + "screening." + w.ID, w.Ask})
		}
		for _, w := range t.Strata {
			texts = append(texts, stratumTexts(path+"strata."+w.ID, w.Ask, w.Levels)...)
		}
		r.revealedIn(t.Names, texts)
	}
}

// stratumTexts are what assessors read of a stratum when they arrive.
func stratumTexts(path, ask string, levels []string) []text {
	if ask == "" {
		return nil
	}
	return append([]text{{path + ".ask", ask}}, eachWord(path+".levels", levels)...)
}

// eachWord are the words of the list at a path.
func eachWord(path string, list []string) (texts []text) {
	for i, w := range list {
		texts = append(texts, text{fmt.Sprintf("%s[%d]", path, i), w})
	}
	return texts
}

// early are the texts that come before the last serving.
func early(path string, t Texts) []text {
	return []text{
		{path + "texts.welcome", t.Welcome}, {path + "texts.consent", t.Consent},
		{path + "texts.instructions", t.Instructions},
		{path + "texts.comment", t.Comment},
	}
}

func (r *reader) revealedIn(names []Name, texts []text) {
	words := make([]string, len(texts))
	for i, t := range texts {
		words[i] = inOneCase(t.words)
	}
	for _, n := range names {
		if n.Text == "" {
			continue
		}
		name := inOneCase(n.Text)
		for i, t := range texts {
			// Making a pattern costs more than looking for the letters, which few texts have.
			if strings.Contains(words[i], name) && hasWords(t.words, n.Text) {
				r.reject(t.path, Say("assessors would read the name %s here, before its serving comes", quoted(n.Text)),
					Say("write this without naming any sample"))
			}
		}
	}
}

// hasWords reports whether a name stands in a text by itself, in letters of any case.
func hasWords(text, name string) bool {
	return regexp.MustCompile(`(?i)(^|[^\pL\pN])` + regexp.QuoteMeta(name) + `($|[^\pL\pN])`).MatchString(text)
}

// inOneCase makes letters alike that patterns take for alike when case does not count.
func inOneCase(s string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for x := unicode.SimpleFold(r); x != r; x = unicode.SimpleFold(x) {
			least = min(least, x)
		}
		return least
	}, s)
}

// stoppingFits finds a number to stop at that the plan has no places for.
func (r *reader) stoppingFits(s *Study) {
	if r.sound("panel", "panel.assessors", "analysis.stop after") && s.Plan.StopAfter > s.Panel.Assessors {
		r.reject("analysis.stop after",
			Say("tasting cannot end after %d assessors: the plan has %d places", s.Plan.StopAfter, s.Panel.Assessors),
			Say("write at most %d, or leave it out to stop when every place has finished", s.Panel.Assessors))
	}
}

// ageForAlcohol finds a study that serves alcohol to whoever comes. Which age to
// ask for is for the law of the place; that one is asked is not.
func (r *reader) ageForAlcohol(s *Study) {
	const path = "panel.minimum age"
	i := slices.IndexFunc(s.Dishes, func(d Dish) bool { return d.Alcohol })
	if i < 0 || !r.sound("panel", path) {
		return
	}
	switch age := s.Panel.MinimumAge; {
	case age == 0:
		r.reject(path, Say("dish %s contains alcohol and nobody's age is asked", quoted(string(s.Dishes[i].ID))),
			Say("write minimum age: 18 under panel, or the age that your law sets"))
	case age < lawfulAge:
		r.reject(path,
			Say("dish %s contains alcohol and is for everyone of %d or over", quoted(string(s.Dishes[i].ID)), age),
			Say("write the age that your law sets, %d at least, or take the alcohol out", lawfulAge))
	}
}

// analysisFits checks the analysis plan against what is served and rated.
func (r *reader) analysisFits(s *Study) {
	if !r.sound("question") {
		return
	}
	r.planKeys(s)
	if !s.Question.CollectsRatings() || s.Question.Kind().Amounts || s.Question.Kind().OneDish {
		return
	}
	r.wholePanelFits(s)
	r.effectFits(s)
	r.equivalenceFits(s)
	if r.sound("serving.design", "analysis.test") && s.Plan.ComparesTwo() && !s.Plan.Test.OfWholePanel() {
		unpaired := s.Plan.Test == WelchT || s.Plan.Test == RankSum
		one := s.Serving.Design == One
		switch {
		case s.Plan.Test == Ordinal:
			r.ordinalFits(s)
		case s.Plan.Test == Lottery:
			r.lotteryFits(s)
		case s.Plan.Test == Equivalence: // of people or of groups
		case one && s.Plan.Test == MixedT:
			r.reject("analysis.test",
				Say("each assessor gets one sample, so that a model has nobody's level to allow for"),
				Say("write test: welch-t or test: rank-sum"))
		case one && !unpaired:
			r.reject("analysis.test",
				Say("each assessor gets one sample, so that there are no pairs for %s", s.Plan.Test),
				Say("write test: welch-t, rank-sum or equivalence"))
		case !one && unpaired:
			r.reject("analysis.test", Say("%s is for assessors who taste one sample each", s.Plan.Test),
				Say("write test: paired-t, signed-rank or mixed-t"))
		}
	}
	a, ok := s.Attribute(s.Plan.Attribute)
	span := a.Scale.Max() - a.Scale.Min()
	if ok && a.Scale.Kind != "" && r.sound("analysis.smallest effect") && s.Plan.SmallestEffect > span &&
		r.scaleSound(s, a.ID) {
		r.reject("analysis.smallest effect",
			Say("no two ratings of %s can differ by %s: its scale is %s points long", a.ID,
				shortest(s.Plan.SmallestEffect),
				shortest(span)),
			Say("write a number above 0 and below %s", shortest(span)))
	}
}

// equivalenceFits checks a plan that asks whether two samples are practically the same.
func (r *reader) equivalenceFits(s *Study) {
	p := s.Plan
	if p.Test != Equivalence || !r.sound("analysis.test") {
		return
	}
	if p.SmallestEffect == 0 && r.sound("analysis.smallest effect") {
		r.reject("analysis.smallest effect",
			Say("equivalence has no meaning without a smallest effect: nothing says how near is "+
				"practically the same"),
			Say("write smallest effect: and the smallest difference, in scale points, that you would "+
				"act on"))
	}
	if p.Sides != TwoSided && r.sound("analysis.sides") {
		r.reject("analysis.sides", Say("a test of equivalence looks in both directions by itself"),
			Say("write sides: two, or leave the line out"))
	}
	if p.Alpha >= 0.5 && r.sound("analysis.alpha") {
		r.reject("analysis.alpha", Say("at a level of %s a test of equivalence has no interval", shortest(p.Alpha)),
			Say("write a number below 0.5, such as 0.05"))
	}
}

// wholePanelFits checks a plan that compares all samples together, and that no other
// plan has a test of them.
func (r *reader) wholePanelFits(s *Study) {
	p := s.Plan
	if !p.WholePanel {
		if p.EffectOf == "" && p.Test.OfWholePanel() && r.sound("analysis.test", "analysis.compare") {
			what := Say("%s compares all samples, and the plan compares two", p.Test)
			r.reject("analysis.test", what, Say("write test: paired-t, or compare: all"))
		}
		return
	}
	if !p.Test.OfWholePanel() && r.sound("analysis.test") {
		what := Say("%s compares two samples, and the plan compares all", p.Test)
		r.reject("analysis.test", what, Say("write test: mixed-f, rm-anova or friedman"))
	}
	if p.Sides != TwoSided && r.sound("analysis.sides") {
		r.reject("analysis.sides", Say("all samples compared together have no first one that could be greater"),
			Say("write sides: two, or compare: [A, B]"))
	}
	switch {
	case r.sound("serving.design") && s.Serving.Design == One:
		r.reject("analysis.compare", Say("each assessor gets one sample, so that nobody can compare all"),
			Say("write compare: [A, B]"))
	case r.sound("serving.design", "analysis.test") && s.Serving.Design == Some && p.Test != MixedF:
		r.reject("analysis.test", Say("%s is of assessors who rate every sample, and here each rates some", p.Test),
			Say("write test: mixed-f, which uses every rating"))
	case r.sound("samples") && len(s.Samples) < 3:
		r.reject("analysis.compare", Say("fewer than three samples are a pair"),
			Say("write compare: [A, B], the first minus the second"))
	}
}

func (r *reader) scaleSound(s *Study, id AttributeID) bool {
	i := slices.IndexFunc(s.Attributes, func(a Attribute) bool { return a.ID == id })
	scale := fmt.Sprintf("attributes[%d].scale", i)
	return r.sound(scale, scale+".line", scale+".from", scale+".to", scale+".categories", scale+".words")
}

// planKeys refuses what has no meaning in the analysis plan of the question.
func (r *reader) planKeys(s *Study) {
	k := s.Question.Kind()
	for _, name := range []string{"compare", "effect of", "attribute", "liking", "test", "smallest effect",
		"beta", "stop early", "looks", "spending", "evidence", "evidence at", "adjust", "undecided",
		"expected order", "wanted rating"} {
		path := "analysis." + name
		if k.Plans(name) || !r.written(path) || !r.sound(path) {
			continue
		}
		if name == "compare" && k.Samples == 2 {
			r.reject(path, Say("a %s test does not put its samples in an order", s.Question),
				Say("write the analysis without compare"))
			continue
		}
		instead := Say("write the analysis without it")
		if name == "test" && s.Plan.Test == Equivalence && k.Samples == 2 && k.Attributes == OneNamed {
			instead = Say("write question: 3-afc to ask whether so few taste a difference in it that two pass " +
				"for the same, or leave it out")
		}
		r.reject(path, Say("%q has no meaning in a %s test, which %s", name, s.Question, Say(k.Counts)), instead)
	}
	switch {
	case slices.Contains(k.Sides, s.Plan.Sides) || !r.sound("analysis.sides"):
	case k.Sides[0] == TwoSided:
		r.reject("analysis.sides", Say("a %s test looks for any order, not for one", s.Question),
			Say("write sides: two, or leave the line out"))
	default:
		r.reject("analysis.sides",
			Say("a %s test is one-sided: only more right answers than chance speak of a difference", s.Question),
			Say("write sides: greater"))
	}
}
