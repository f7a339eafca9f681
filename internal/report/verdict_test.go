package report

import (
	"math"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// namesStudy is one dish under two names, and blind when asked for.
func namesStudy(blind bool) *study.Study {
	s := &study.Study{
		Title:   "names",
		Dishes:  []study.Dish{{ID: "custard", Title: "Warm celeriac custard"}, {ID: "soup", Title: "Leek soup"}},
		Names:   []study.Name{{ID: "brulee", Text: "celeriac crème brûlée"}, {ID: "royale", Text: "celeriac royale"}},
		Samples: []study.Sample{{ID: "A", Dish: "custard", Name: "brulee"}, {ID: "B", Dish: "custard", Name: "royale"}},
		Attributes: []study.Attribute{
			{ID: "salt", Ask: "How salty is it?", Scale: study.Scale{Kind: study.Line}},
			{ID: "liking", Ask: "How much do you like it?",
				Scale: study.Scale{Kind: study.Hedonic9, Labels: study.Hedonic9Labels[:]}},
			{ID: "nutmeg", Ask: "How much nutmeg is in it?", Scale: study.Scale{Kind: study.Line}},
		},
		Plan: study.AnalysisPlan{Compare: [2]study.SampleID{"A", "B"}, Attribute: "salt", Alpha: 0.05,
			SmallestEffect: 5},
	}
	if blind {
		s.Samples = append(s.Samples, study.Sample{ID: "C", Dish: "custard"}, study.Sample{ID: "D", Dish: "soup"})
	}
	return s
}

// found is a finding with this difference, interval and p.
func found(attribute study.AttributeID, d, lo, hi, p float64) analysis.Finding {
	lean := 1
	if d < 0 {
		lean = -1
	}
	// 1.6955/2.0395, the quantiles of t on 31 df at 95 and 97.5 % (R 4.2)
	half := (hi - lo) / 2 * 0.83133
	return analysis.Finding{Kind: analysis.KindPair, Attribute: attribute, Comparison: []study.SampleID{"A", "B"},
		N: 32,
		Estimate: analysis.Estimate{Measure: method.MeanDifference, Value: d,
			CI: stats.Interval{Lo: lo, Hi: hi, Level: 0.95}, Lean: lean,
			EquivalenceCI: stats.Interval{Lo: (lo+hi)/2 - half, Hi: (lo+hi)/2 + half, Level: 0.9}},
		Test: analysis.Test{Method: "paired-t", Title: "paired t test", P: p, PAdjusted: math.NaN()},
		Pair: analysis.PairPart{Moved: analysis.Moved{Up: 22, Down: 8, Same: 2}}}
}

func TestVerdicts(t *testing.T) {
	adjusted := found("liking", 0.4, 0.02, 0.8, 0.03)
	adjusted.Test.PAdjusted = 0.09
	rank := found("salt", 6.2, -0.1, 12.4, 0.03)
	none := found("salt", math.NaN(), math.NaN(), math.NaN(), math.NaN())
	none.N, none.Value, none.Pair.Moved = 1, -7, analysis.Moved{Down: 1}
	same := found("salt", 0, 0, 0, math.NaN())
	same.N, same.Pair.Moved = 12, analysis.Moved{Same: 12}
	third := found("salt", -6.2, -10.3, -2.1, 0.001)
	third.Comparison = []study.SampleID{"C", "B"}
	one := namesStudy(false)
	one.Plan.Attribute, one.Plan.SmallestEffect = "liking", 1
	dishes := found("nutmeg", 6.2, 2.1, 10.3, 0.001)
	dishes.Comparison = []study.SampleID{"A", "D"}
	lookingDown := namesStudy(false)
	lookingDown.Plan.Sides = study.Less
	against := found("salt", 6.2, 2.1, 10.3, 0.998)
	against.Role = analysis.Primary
	beyond := found("salt", 9.2, 6.1, 12.3, 0.9999)
	beyond.Role = analysis.Primary
	unstated := namesStudy(false)
	unstated.Plan.SmallestEffect = 0
	leaning := found("salt", 6.2, 2.1, 10.3, 0.004)
	leaning.Also = []analysis.Test{{Method: "signed-rank", Title: "Wilcoxon signed-rank test, exact", P: 0.08,
		PAdjusted: math.NaN()}}
	median := found("salt", 6.2, 2.1, 10.3, 0.004)
	median.Measure = method.HodgesLehmann
	together := adjusted
	together.Family, together.Adjusted = 3, stats.Interval{Lo: -0.1, Hi: 0.9, Level: 1 - 0.05/3}
	few := none
	few.N, few.Value, few.Pair.Moved = 4, 7, analysis.Moved{Up: 3, Down: 1}
	nobody := none
	nobody.N = 0
	for _, tc := range []struct {
		name    string
		s       *study.Study
		f       analysis.Finding
		outcome Outcome
		want    string
	}{
		{"saltier", namesStudy(false), found("salt", 6.2, 2.1, 10.3, 0.004), Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"That there is a difference is clear; whether it reaches the 5 points that the study set out to " +
				"act on is open. " +
				"In numbers: " +
				"95 % interval 2.1 to 10.3; p = 0.004."},
		{"less salty, wholly beyond", namesStudy(false), found("salt", -9.2, -12.1, -6.3, 0.0001), Clear,
			"Called celeriac crème brûlée, the same dish was rated less salty: −9.2 points of 100. " +
				"8 of 32 people moved that way, 22 the other way, 2 not at all. " +
				"It is clear that it reaches the 5 points that the study set out to act on. " +
				"In numbers: " +
				"95 % interval −12.1 to −6.3; p < 0.001."},
		{"clear but small", namesStudy(false), found("salt", 2.2, 0.4, 4, 0.02), Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +2.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"There is a difference, and it is clear that it is smaller than the 5 points that the study set " +
				"out to act on: the two are practically the same. " +
				"In numbers: " +
				"95 % interval 0.4 to 4.0; p = 0.020; 90 % interval 0.7 to 3.7, by which the two are practically " +
				"the same."},
		{"unclear", namesStudy(false), found("salt", 2.2, -4.1, 8.5, 0.48), Unclear,
			"No clear difference on “How salty is it?” between celeriac crème brûlée and celeriac royale: +2.2 " +
				"points of 100. " +
				"22 of 32 people rated celeriac crème brûlée higher, 8 lower, 2 the same. " +
				"A difference of the 5 points that the study set out to act on is still possible: this does not " +
				"show that the two are the same. " +
				"In numbers: " +
				"95 % interval −4.1 to 8.5; p = 0.480."},
		{"unclear and alike", namesStudy(false), found("salt", 0.2, -2.1, 2.5, 0.8), Unclear,
			"No clear difference on “How salty is it?” between celeriac crème brûlée and celeriac royale: +0.2 " +
				"points of 100. " +
				"22 of 32 people rated celeriac crème brûlée higher, 8 lower, 2 the same. " +
				"Any difference is smaller than the 5 points that the study set out to act on: the two are " +
				"practically the same. " +
				"In numbers: " +
				"95 % interval −2.1 to 2.5; p = 0.800; 90 % interval −1.7 to 2.1, by which the two are practically " +
				"the same."},
		{"one-sided test, the other way", lookingDown, against, Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"This is against the direction that the plan looked in: taste it again before you rely on it. " +
				"Whether it reaches the 5 points that the study set out to act on is open. " +
				"The planned test, which looks the other way, does not find it (p = 0.998); the interval shows it. " +
				"In numbers: " +
				"95 % interval 2.1 to 10.3; p = 0.998."},
		{"one-sided test, wholly beyond on the other side", lookingDown, beyond, Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +9.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"This is against the direction that the plan looked in: taste it again before you rely on it. " +
				"It is clear that it reaches the 5 points that the study set out to act on. " +
				"The planned test, which looks the other way, does not find it (p > 0.999); the interval shows it. " +
				"In numbers: " +
				"95 % interval 6.1 to 12.3; p > 0.999."},
		{"no smallest effect, wide", unstated, found("salt", -3.5, -25, 18, 0.7), Unclear,
			"No clear difference on “How salty is it?” between celeriac crème brûlée and celeriac royale: −3.5 " +
				"points of 100. " +
				"22 of 32 people rated celeriac crème brûlée higher, 8 lower, 2 the same. " +
				"A difference was not shown, and it was not ruled out either. " +
				"In numbers: " +
				"95 % interval −25.0 to 18.0; p = 0.700."},
		{"a rank test beside it finds nothing", namesStudy(false), leaning, Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"That there is a difference is clear; whether it reaches the 5 points that the study set out to " +
				"act on is open. " +
				"The Wilcoxon signed-rank test, beside the planned test, does not find it (p = 0.080): the answer " +
				"leans on the choice of test. " +
				"In numbers: " +
				"95 % interval 2.1 to 10.3; p = 0.004."},
		{"median difference", namesStudy(false), median, Clear,
			"Called celeriac crème brûlée, the same dish was rated saltier: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"That there is a difference is clear; whether it reaches the 5 points that the study set out to " +
				"act on is open. " +
				"In numbers: in the median; 95 % interval 2.1 to 10.3; p = 0.004."},
		{"adjusted interval", namesStudy(false), together, Unclear,
			"No clear difference on “How much do you like it?” between celeriac crème brûlée and celeriac royale: " +
				"+0.40 points on the scale from 1 to 9. " +
				"22 of 32 people rated celeriac crème brûlée higher, 8 lower, 2 the same. " +
				"A difference was not shown, and it was not ruled out either. " +
				"In numbers: interval −0.10 to 0.90, 95 % for the 3 secondary findings together; adjusted p = 0.090."},
		{"unclear after adjustment", namesStudy(false), adjusted, Unclear,
			"No clear difference on “How much do you like it?” between celeriac crème brûlée and celeriac royale: " +
				"+0.40 points on the scale from 1 to 9. " +
				"22 of 32 people rated celeriac crème brûlée higher, 8 lower, 2 the same. " +
				"A difference was not shown, and it was not ruled out either. " +
				"The interval leaves out 0, but with all secondary comparisons adjusted together it could be " +
				"chance (adjusted p = 0.090). " +
				"In numbers: " +
				"95 % interval 0.02 to 0.80; adjusted p = 0.090."},
		{"test and interval differ", namesStudy(false), rank, Clear,
			"A hint, no more. " +
				"Called celeriac crème brûlée, the same dish was rated saltier: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"It is less certain than it looks, and whether it reaches the 5 points that the study set out to " +
				"act on is open. " +
				"Why a hint: if the true difference is the 5 points that the study set out to act on, only about " +
				"34 of a hundred such studies find one, and those that do overstate it 1.7 times on average. " +
				"The planned test finds a difference (p = 0.030), while the interval includes 0: where people " +
				"moved by equal amounts, or not at all, the interval is the more careful of the two. " +
				"In numbers: " +
				"95 % interval −0.1 to 12.4; p = 0.030."},
		{"liked more", namesStudy(false), found("liking", 0.4, 0.1, 0.7, 0.01), Clear,
			"Called celeriac crème brûlée, the same dish was liked more: +0.40 points on the scale from 1 to 9. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"That there is a difference is clear; how large a difference matters here, the plan does not say. " +
				"In numbers: " +
				"95 % interval 0.10 to 0.70; p = 0.010."},
		{"nobody", namesStudy(false), nobody, NoAnswer,
			"No answer on “How salty is it?”: nobody rated both celeriac crème brûlée and celeriac royale."},
		{"one pair", namesStudy(false), none, NoAnswer,
			"Too few to say on “How salty is it?”: 1 person rated both celeriac crème brûlée and celeriac royale, " +
				"and a verdict takes at least 6. " +
				"The difference was −7.0 points of 100."},
		{"four pairs", namesStudy(false), few, NoAnswer,
			"Too few to say on “How salty is it?”: 4 people rated both celeriac crème brûlée and celeriac royale, " +
				"and a verdict takes at least 6. " +
				"On average, the difference was +7.0 points of 100. 3 of 4 people rated celeriac crème brûlée " +
				"higher, 1 lower, 0 the same."},
		{"all the same", namesStudy(false), same, Unclear,
			"No difference at all on “How salty is it?”: each of 12 people gave celeriac crème brûlée and celeriac " +
				"royale the same rating, so there is nothing to test. " +
				"Any difference is smaller than the 5 points that the study set out to act on: the two are " +
				"practically the same."},
		{"blind against a name, among more samples", namesStudy(true), third, Clear,
			"Served without a name, the same dish (Warm celeriac custard) was rated less salty than called " +
				"celeriac royale: −6.2 points of 100. " +
				"8 of 32 people moved that way, 22 the other way, 2 not at all. " +
				"That there is a difference is clear; whether it reaches the 5 points that the study set out to " +
				"act on is open. " +
				"In numbers: " +
				"95 % interval −10.3 to −2.1; p = 0.001."},
		{"two dishes, question of another form", namesStudy(true), dishes, Clear,
			"Warm celeriac custard as celeriac crème brûlée was rated higher on “How much nutmeg is in it?” than " +
				"Leek soup: +6.2 points of 100. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"That there is a difference is clear; how large a difference matters here, the plan does not say. " +
				"In numbers: " +
				"95 % interval 2.1 to 10.3; p = 0.001."},
		{"smallest effect of one point", one, found("liking", 0.4, 0.1, 0.7, 0.01), Clear,
			"Called celeriac crème brûlée, the same dish was liked more: +0.40 points on the scale from 1 to 9. " +
				"22 of 32 people moved that way, 8 the other way, 2 not at all. " +
				"There is a difference, and it is clear that it is smaller than the 1 point that the study set out " +
				"to act on: the two are practically the same. " +
				"In numbers: " +
				"95 % interval 0.10 to 0.70; p = 0.010; 90 % interval 0.15 to 0.65, by which the two are " +
				"practically the same."},
	} {
		t.Run(tc.name, func(t *testing.T) {
			tc.f.Judge(tc.s.Plan)
			v := verdictOf(tc.s, tc.f)
			if v.Outcome != tc.outcome || v.Text() != tc.want {
				t.Errorf("%s\ngot  %s\nwant %s", v.Outcome, v.Text(), tc.want)
			}
		})
	}
}

func TestWording(t *testing.T) {
	for _, tc := range []struct{ ask, verb, more, less string }{
		{"How salty is it?", "was rated", "saltier", "less salty"},
		{"How bitter was this?", "was rated", "more bitter", "less bitter"},
		{"How smooth is it in the mouth?", "was rated", "smoother in the mouth", "less smooth in the mouth"},
		{"How umami does it taste?", "was rated", "more umami", "less umami"},
		{"How much did you like it overall?", "was liked", "more", "less"},
		{"How well do you like this?", "was liked", "more", "less"},
		{"How much salt is in it?", "was rated", "higher on “How much salt is in it?”",
			"lower on “How much salt is in it?”"},
		{"How likely is it?", "was rated", "higher on “How likely is it?”", "lower on “How likely is it?”"},
		{"Wie salzig ist es?", "was rated", "higher on “Wie salzig ist es?”", "lower on “Wie salzig ist es?”"},
	} {
		t.Run(tc.ask, func(t *testing.T) {
			if got, want := wordingOf(study.Attribute{Ask: tc.ask}), (wording{tc.verb, tc.more, tc.less}); got != want {
				t.Errorf("got %+v, want %+v", got, want)
			}
		})
	}
}

func TestNumbers(t *testing.T) {
	nan := math.NaN()
	for _, tc := range []struct{ got, want string }{
		{number(-1.25, 1), "−1.2"}, {number(-0.04, 1), "0.0"}, {number(nan, 1), "not computed"},
		{signed(6.2, 1), "+6.2"}, {signed(-6.2, 1), "−6.2"}, {signed(0.04, 1), "0.0"}, {signed(0, 2), "0.00"},
		{interval(stats.Interval{Lo: -2.1, Hi: 10.3}, 1), "−2.1 to 10.3"},
		{interval(stats.Interval{Lo: nan, Hi: nan}, 1), "not computed"},
		{percent(0.95), "95 %"}, {percent(0.999), "99.9 %"}, {percent(1 - 0.1), "90 %"},
		{pValue(0.0123), "0.012"}, {pValue(0.0001), "below 0.001"}, {pValue(1), "above 0.999"},
		{pValue(nan), "not computed"},
		{pPhrase(0.0001), "p < 0.001"}, {pPhrase(0.04), "p = 0.040"}, {exactP(0.0028328902), "0.002833"},
		{people(1).String(), "1 person"}, {people(2).String(), "2 people"}, {people(0).String(), "0 people"},
		{points(study.Scale{Kind: study.Line}), "points of 100"},
		{points(study.Scale{Kind: study.Line, From: -10, To: 10}), "points on the scale from −10 to 10"},
	} {
		if tc.got != tc.want {
			t.Errorf("got %q, want %q", tc.got, tc.want)
		}
	}
}

func TestVerdictNeverClaimsAlikeFromUnclear(t *testing.T) {
	s := namesStudy(false)
	s.Plan.SmallestEffect = 0
	f := found("salt", 0.2, -2.1, 2.5, 0.8)
	f.Judge(s.Plan)
	v := verdictOf(s, f)
	if strings.Contains(v.Text(), "practically") {
		t.Errorf("says that the two are the same with no smallest effect to hold it against: %s", v.Text())
	}
}
