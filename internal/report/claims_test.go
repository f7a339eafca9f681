package report_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/report"
	"cloche/internal/study"
)

// drawStudy draws a small rating study and its ratings, some of them missing: spread
// out, all alike, or moved by the same amount.
func drawStudy(t *rapid.T) (*study.Study, []analysis.Rating) {
	k := rapid.IntRange(2, 4).Draw(t, "samples")
	s := panelOf(k)
	s.Plan.Test = rapid.SampledFrom([]study.Test{study.PairedT, study.SignedRank}).Draw(t, "test")
	s.Plan.Sides = rapid.SampledFrom([]study.Sides{study.TwoSided, study.Greater, study.Less}).Draw(t, "sides")
	s.Plan.Adjust = rapid.SampledFrom([]study.Adjustment{study.Holm, study.NoAdjustment}).Draw(t, "adjust")
	s.Plan.SmallestEffect = rapid.SampledFrom([]float64{0, 1, 5}).Draw(t, "smallest effect")
	if s.Plan.SmallestEffect > 0 && rapid.Bool().Draw(t, "sameness") {
		s.Plan.Test, s.Plan.Sides = study.Equivalence, study.TwoSided
	}
	if rapid.Bool().Draw(t, "two attributes") {
		s.Attributes = append(s.Attributes, study.Attribute{ID: "liking", Ask: "How much do you like it?",
			Scale: study.Scale{Kind: study.Hedonic9, Labels: study.Hedonic9Labels[:]}})
	}
	n := rapid.IntRange(1, 16).Draw(t, "people")
	kind := rapid.SampledFrom([]string{"spread", "alike", "moved alike"}).Draw(t, "kind")
	shift := rapid.IntRange(-3, 3).Draw(t, "shift")
	var all []analysis.Rating
	for i := range n {
		order := rapid.Permutation([]int{1, 2, 3, 4}[:k]).Draw(t, "order")
		for _, a := range s.Attributes {
			for x := range k {
				if rapid.IntRange(0, 19).Draw(t, "missing") == 0 {
					continue
				}
				v := 5
				switch kind {
				case "spread":
					v = rapid.IntRange(1, 9).Draw(t, "value")
				case "moved alike":
					v = 4 + i%3 + shift*min(1, x)
				}
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: order[x],
					Sample:    s.Samples[x].ID,
					Attribute: a.ID, Value: float64(min(9, max(1, v)))})
			}
		}
	}
	return s, all
}

var (
	movedWords = regexp.MustCompile(`(\d+) of (\d+) (?:person|people) (?:moved that way(?:, (\d+) the other ` +
		`way)?(?:, (\d+) not at all)?|rated .* higher, (\d+) lower, (\d+) the same)`)
	untrue = regexp.MustCompile(`NaN|%!|not computed|\b0 people|\b1 people|\b[2-9]\d* person\b|\+−|−−`)
)

// Every sentence of a report on small, odd panels says what is so.
func TestSentencesHoldOnRandomStudies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, ratings := drawStudy(t)
		if len(ratings) == 0 {
			return
		}
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := report.Build(s, r, report.Options{})
		checkSentences(t, strings.Join(p.Verdict, " "), s, r.Findings[0])
		checkFirstLines(t, p)
		checkSure(t, r.Findings[0], p)
		others := p.Others
		for _, f := range r.Findings[1:] {
			if f.Kind == analysis.KindPanel || !f.Compares(s.Plan.Compare) && !f.Verdict.Different() {
				continue
			}
			checkSentences(t, others[0].Text, s, f)
			others = others[1:]
		}
		if len(others) > 0 {
			t.Errorf("a sentence without its finding: %q", others[0].Text)
		}
		checkMethods(t, s, r, p)
	})
}

// statistical are the words of statistics that the first lines of a report do without.
var statistical = regexp.MustCompile(`\bp [=<>]|[Ii]nterval|%|\btests?\b|median|significan|alpha|deviation|` +
	`[Gg]uessing` +
	`|chance|[χ′γδ²]|\bF =|\bdf\b`)

// checkFirstLines: points of the scale, people, and how sure it is; no statistics.
func checkFirstLines(t rapid.TB, p report.Page) {
	if p.Plain < 1 {
		t.Errorf("no plain sentence: %q", p.Verdict)
	}
	for _, line := range p.Verdict[:p.Plain] {
		line = strings.ReplaceAll(line, "so there is nothing to test", "")
		if found := statistical.FindString(line); found != "" {
			t.Errorf("the first lines say %q: %q", found, line)
		}
	}
	if !strings.Contains(p.Limits, "Tried here: one house") || !strings.HasSuffix(p.Limits, ".") {
		t.Errorf("what it cannot say is %q", p.Limits)
	}
}

// checkSure: what is said of the other ways of reckoning is what they found.
func checkSure(t *rapid.T, f analysis.Finding, p report.Page) {
	if p.Sure == nil {
		if len(f.Rechecks) > 0 {
			t.Errorf("reckoned anew and not told: %+v", f.Rechecks)
		}
		return
	}
	no := 0
	for i, r := range f.Rechecks {
		row := p.Sure.Rows[i+1]
		if (row.Agrees == "no") == r.Agrees || row.How != r.What || row.People != fmt.Sprint(r.N) {
			t.Errorf("%+v is told as %+v", r, row)
		}
		no += map[bool]int{false: 1}[r.Agrees]
	}
	all := len(f.Rechecks)
	for claim, is := range map[string]bool{
		"the answer is the same.":                no == 0,
		fmt.Sprintf("another in %d of them", no): no > 0 && no < all,
		"the answer is another: lean":            no == all,
		"Calculated in another way":              all == 1,
		fmt.Sprintf("%d other ways", all):        all > 1,
	} {
		if strings.Contains(p.Sure.Said, claim) != is {
			t.Errorf("says %q: %t of %+v: %q", claim, !is, f.Rechecks, p.Sure.Said)
		}
	}
}

func checkSentences(t *rapid.T, text string, s *study.Study, f analysis.Finding) {
	if found := untrue.FindString(text); found != "" {
		t.Errorf("%q in %q", found, text)
	}
	told := f.N > 0 && f.Verdict.Code != analysis.TooFew
	same, main := f.Verdict.Code == analysis.Alike, f.Role == analysis.Primary
	for claim, is := range map[string]bool{
		"the two are practically the same.": same && !f.Verdict.Sameness ||
			f.Verdict.Code == analysis.DifferentSmall,
		"Dish A and Dish B are practically the same: ": same && f.Verdict.Sameness,
		"Not shown that":                f.Verdict.Sameness && f.Verdict.Code == analysis.Open,
		"The plan asked whether":        f.Verdict.Sameness && f.Verdict.Different(),
		"They are not exactly the same": f.Verdict.Sameness && same && f.TestOfDifference().P < s.Plan.Alpha,
		"one-sided t tests finds it (p": told && f.Verdict.Sameness && same && f.Test.Method != method.Sign,
		"not ruled out": !f.Verdict.Different() && f.Verdict.Code != analysis.TooFew &&
			f.Verdict.Margin == 0,
		"this does not show that the two are": f.Verdict.Code == analysis.Open && f.Verdict.Margin > 0,
		"It is clear that it reaches":         main && f.Verdict.Code == analysis.DifferentAct,
		"If that holds up, it reaches":        !main && f.Verdict.Code == analysis.DifferentAct,
		"is clear that it is smaller":         main && f.Verdict.Code == analysis.DifferentSmall,
		"If that holds up, it is smaller":     !main && f.Verdict.Code == analysis.DifferentSmall,
		"Seen on the side: ":                  !main && told && f.Verdict.Different(),
		"That there is a difference is": main && told && f.Verdict.Different() && f.Hint == nil && !f.Verdict.Against &&
			(f.Verdict.Code == analysis.DifferentSizeOpen || f.Verdict.Margin == 0),
		"A hint, no more.": f.Hint != nil && f.Test.Method != method.Sign,
		"Why a hint":       f.Hint != nil && f.Test.Method != method.Sign,
		"In numbers": told && !f.Verdict.Sameness && f.Pair.Moved.Same < f.N &&
			!(f.Test.Method == method.Sign && f.Verdict.Different()) || told && f.Verdict.Sameness &&
			f.Verdict.Different() && f.Test.Method != method.Sign,
		"against the direction that the plan": f.Verdict.Against,
		"Too few to say":                      f.N > 0 && f.N < 6,
		"nobody rated both":                   f.N == 0,
		"in the median": !(f.Verdict.Sameness && !f.Verdict.Different()) && f.N > 1 &&
			f.Measure != method.MeanDifference &&
			f.Pair.Moved.Same < f.N && f.Test.Method != method.Sign,
		"secondary findings together": f.Verdict.Code != analysis.TooFew && f.Adjusted.Level > 0 &&
			f.Test.Method != method.Sign && f.Pair.Moved.Same < f.N,
		"the answer leans on the choice of":  leans(f) && f.Verdict.Different() && !f.Verdict.Against,
		"holds the mean against the scatter": f.Test.Method == method.Sign && f.Verdict.Different(),
		"gave Dish A and Dish B the same rating": f.N > 5 && f.Pair.Moved.Same == f.N && !f.Verdict.Sameness &&
			f.Compares([2]study.SampleID{"A", "B"}),
	} {
		if f.Test.Method == method.Sign && (claim == "in the median" || strings.HasPrefix(claim, "secondary")) ||
			f.N < 6 && claim == "in the median" {
			continue // said only where no difference was found
		}
		if strings.Contains(text, claim) != is {
			t.Errorf("says %q: %t in %q, verdict %+v", claim, !is, text, f.Verdict)
		}
	}
	if strings.Contains(text, "where people moved by equal amounts") && !tied(f) {
		t.Errorf("nobody moved by an equal amount: %q", text)
	}
	if m := movedWords.FindStringSubmatch(text); m != nil {
		checkCounts(t, m, f)
	} else if f.N > 1 && f.Pair.Moved.Same < f.N && f.Test.Method != method.Sign {
		t.Errorf("nobody is counted in %q", text)
	}
}

// tied reports whether two people moved as far as each other, or somebody not at all.
func tied(f analysis.Finding) bool {
	seen := map[float64]bool{0: true}
	for _, p := range f.Pair.Each {
		far := math.Abs(p.First - p.Second)
		if seen[far] {
			return true
		}
		seen[far] = true
	}
	return false
}

func leans(f analysis.Finding) bool {
	decides := func(x analysis.Test) float64 {
		if math.IsNaN(x.PAdjusted) {
			return x.P
		}
		return x.PAdjusted
	}
	if len(f.Also) == 0 || f.Verdict.Sameness {
		return false
	}
	a, b := decides(f.Test), decides(f.Also[0])
	return a < 0.05 && b >= 0.05
}

// checkCounts counts those who moved anew, from what everybody said.
func checkCounts(t *rapid.T, m []string, f analysis.Finding) {
	up, down := 0, 0
	for _, p := range f.Pair.Each {
		if p.First > p.Second {
			up++
		}
		if p.First < p.Second {
			down++
		}
	}
	number := func(i int) int {
		v, err := strconv.Atoi(m[i])
		if err != nil {
			return 0
		}
		return v
	}
	if strings.Contains(m[0], "moved that way") && f.Verdict.Direction < 0 {
		up, down = down, up
	}
	got := [4]int{number(1), number(2), number(3) + number(5), number(4) + number(6)}
	if want := [4]int{up, len(f.Pair.Each), down, len(f.Pair.Each) - up - down}; got != want {
		t.Errorf("%q counts %v, want %v", m[0], got, want)
	}
}

// checkMethods: the technical part speaks of what was done, and of nothing else.
func checkMethods(t *rapid.T, s *study.Study, r *analysis.Result, p report.Page) {
	all := fmt.Sprint(p.Technical, p.Headings)
	family := 0
	for _, f := range r.Findings {
		if f.Kind == analysis.KindPair {
			family = max(family, f.Family)
		}
	}
	for _, line := range p.Technical.Excluded {
		if !strings.Contains(line, ", of one comparison or more: ") {
			t.Errorf("as if of the whole study: %q", line)
		}
	}
	for _, f := range r.Findings {
		for _, w := range f.Warnings {
			if strings.Contains(w.Text, "all ratings of each sample are equal") {
				t.Errorf("%v of ratings that nobody held against each other", w)
			}
		}
	}
	compared, modelled := false, false
	for _, f := range r.Findings {
		compared = compared || f.Kind == analysis.KindPair && f.N > 0
		modelled = modelled || len(f.Panel.Estimates) > 0
	}
	for claim, is := range map[string]bool{
		"Hodges":                            s.Plan.Test == study.SignedRank && compared,
		"Planned test paired t test":        s.Plan.Test == study.PairedT,
		"Planned test Wilcoxon signed-rank": s.Plan.Test == study.SignedRank,
		"Dunn (1961)":                       family > 0,
		"secondary findings are adjusted":   family > 0,
		"near normal":                       s.Plan.Test != study.SignedRank && compared || modelled,
		"Hills & Armitage":                  hasCheck(r, method.Period),
		"additive model":                    hasCheck(r, method.Position),
	} {
		if strings.Contains(all, claim) != is && !(claim == "Hodges" && !is && !compared) {
			t.Errorf("says %q: %t in %s", claim, !is, all)
		}
	}
}

func hasCheck(r *analysis.Result, check method.ID) bool {
	for _, f := range r.Findings {
		for _, c := range f.Checks {
			if c.Method == check {
				return true
			}
		}
	}
	return false
}

// Everybody moved by exactly ten points: the difference, the counts, the exact test,
// and why the planned one cannot.
func TestEverybodyMovedByTheSameInWords(t *testing.T) {
	s := panelOf(2)
	s.Plan.SmallestEffect = 5
	p := report.Build(s, analyse(t, s, paired(shifted(ten, 10), ten)), report.Options{})
	const want = "Dish A was rated saltier than Dish B: each of 10 people moved by exactly +10.0 points of 100. " +
		"10 of 10 people moved that way. " +
		"It is clear that it reaches the 5 points that the study set out to act on. " +
		"The planned paired t test holds the mean against the scatter between people, and there is none; the exact " +
		"sign test finds a difference (p = 0.002)."
	if got := strings.Join(p.Verdict, " "); got != want || p.Outcome != report.Clear {
		t.Errorf("%s: got %s\nwant %s", p.Outcome, got, want)
	}
}
