package desk

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/builder"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
	"cloche/web"
)

// dryRun is a study tried out on simulated answers, under one truth and another.
type dryRun struct {
	site.Frame
	ID       panel.StudyID
	Study    string
	Finds    string // what the studies are counted for: "find a difference"
	Unstated bool   // no smallest effect is stated
	ToSize   string // where to mend it; "" when it cannot be any more
	Assumed  string
	Said     string // what people give: [aRating] and its like
	Formula  string // what “Should be about” comes from
	State    string // what the study does not state, [aDifference] or [aShare]; "" where it needs none
	Spreads  []otherSpread
	Truths   []dryTruth
	Weak     string // says that the panel finds too little; "" when it does not
	Draw     int
	Another  string // address of the next draw
	Shown    string // the truth whose report is shown
	Report   report.Page
	Drawn    bool // the figure script was built
}

// dryTruth is a line of the summary: what would be found, and how often.
type dryTruth struct {
	Truth, Found, Share, Computed string
	Href                          string // of its report; "" = it is shown
}

// otherSpread leads to the same dry run with another spread.
type otherSpread struct{ Words, Href string }

var dryRunScreen = site.DeskScreen[dryRun]("desk/dry_run")

// The truths that an address may ask for.
const (
	noEffect       = "none"
	smallestEffect = "smallest"
)

// maxDraw bounds the draws of a dry run.
const maxDraw = 9999

// dryRunAsked is what the address asks for.
type dryRunAsked struct {
	id     panel.StudyID
	effect string
	draw   int
	spread float64 // 0: as the size step assumes
}

// dryRunOf reads the address; what makes no sense is as if it was not there.
func dryRunOf(c *gin.Context, stored panel.Study) dryRunAsked {
	q := dryRunAsked{id: stored.ID, effect: smallestEffect, draw: 1}
	if n, err := strconv.Atoi(c.Query("draw")); err == nil && n >= 1 && n <= maxDraw {
		q.draw = n
	}
	states := stored.Spec.Plan.SmallestEffect > 0 || stored.Spec.Question.Kind().Ascending
	if c.Query("effect") == noEffect || !states {
		q.effect = noEffect
	}
	x, _ := stored.Spec.WorthOn()
	if v, err := study.ParseNumber(c.Query("spread")); err == nil && v > 0 && v <= 2*length(x.Scale) {
		q.spread = v
	}
	return q
}

func length(s study.Scale) float64 { return s.Max() - s.Min() }

func (q dryRunAsked) address() string {
	to := fmt.Sprintf("/studies/%s/dry-run?effect=%s&draw=%d", q.id, q.effect, q.draw)
	if q.spread > 0 {
		to += "&spread=" + site.Number(q.spread)
	}
	return to
}

func (s *handlers) dryRun(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	refusal := builder.HinderedBy(s.Site, c, stored, "No dry run yet", stored.HinderDryRun())
	if len(refusal.Mistakes) > 0 {
		return site.Show(s.Site, c, http.StatusOK, builder.HinderedScreen, refusal)
	}
	asked := dryRunOf(c, stored)
	usual, err := s.usualSpread(c.Request.Context(), site.SessionOf(c), stored.Spec)
	if err != nil {
		return err
	}
	spread := usual
	if asked.spread > 0 {
		spread = analysis.GivenSpread(asked.spread)
	}
	tried, err := panel.Try(stored.Spec, stored.ID, spread, asked.draw)
	var sizing *analysis.SizingError
	reason, refused := summary.CannotRun(site.TongueOf(c), err)
	if errors.As(err, &sizing) {
		w := site.TongueOf(c)
		reason, refused = site.Sentence(w.Tell(sizing.What))+" "+site.Sentence(w.Tell(sizing.Instead)), true
	}
	if refused {
		refusal.Reason = reason
		return site.Show(s.Site, c, http.StatusOK, builder.HinderedScreen, refusal)
	}
	if err != nil {
		return err
	}
	page := dryRun{Frame: s.DeskFrame(c, "Dry run", stored.Spec), ID: stored.ID,
		Study: summary.Title(site.TongueOf(c), stored),
		Drawn: web.FiguresBuilt()}
	page.fill(site.TongueOf(c), stored.Spec, asked, tried)
	if page.Said == aRating {
		page.Spreads = otherSpreads(site.TongueOf(c), asked, usual, ruleSpread(stored.Spec))
	}
	if stored.State == panel.Draft && !page.Reader {
		page.ToSize = "/studies/" + string(stored.ID) + "/edit/size"
	}
	return site.Show(s.Site, c, http.StatusOK, dryRunScreen, page)
}

// usualSpread is what the size step assumes when nobody says: what earlier studies
// tell, else the rule of thumb.
func (s *handlers) usualSpread(ctx context.Context, by panel.Session, a *study.Study) (analysis.Spread, error) {
	spread, err := s.Panel.EarlierSpread(ctx, by, a)
	if err != nil || spread.SD > 0 {
		return spread, err
	}
	return ruleSpread(a), nil
}

func ruleSpread(a *study.Study) analysis.Spread {
	x, _ := a.WorthOn()
	return analysis.RuleOfThumb(analysis.SizedTest(a.Plan.Test), length(x.Scale))
}

// fill puts what was simulated in words.
func (page *dryRun) fill(w site.Tongue, a *study.Study, q dryRunAsked, tried panel.DryRun) {
	words := dryWordsOf(w, a, tried)
	page.Draw, page.Finds, page.Assumed = q.draw, words.finds, words.assumed
	page.Said, page.Formula, page.State = words.said, words.formula, words.state
	next := q
	next.draw = q.draw%maxDraw + 1
	page.Another = next.address()
	page.add(w, a, q, noEffect, words.none, words.noneBy, tried.None)
	if page.Unstated = tried.Smallest.Result == nil; !page.Unstated {
		page.add(w, a, q, smallestEffect, words.smallest, words.smallestBy, tried.Smallest)
		if p := words.power; p < analysis.DefaultPower {
			page.Weak = w.Translate("%s, this panel finds %s in %s of studies: %s is what one aims for as a rule.",
				words.given, words.aim, w.Tell(analysis.Sizing{Power: analysis.DefaultPower}.PowerWords(p)),
				analysis.Percent(analysis.DefaultPower))
		}
	}
}

// dryWords are what a dry run says of one kind of study, in a language.
type dryWords struct {
	say                analysis.Say
	tongue             site.Tongue
	finds              string // what the simulated studies do that are counted
	none, smallest     string // the two truths
	noneBy, smallestBy string // where the share under each comes from
	given, aim         string // what the power is of
	power              float64
	assumed            string
	said               string // see [dryRun.Said]
	formula, state     string
}

// What people give in a dry run, as the page's texts tell them apart.
const (
	aRating = "rating"
	anOrder = "order"
	answer  = "answer"
)

// What a study may not state.
const (
	aDifference = "difference"
	aShare      = "share"
)

func dryWordsOf(tongue site.Tongue, a *study.Study, tried panel.DryRun) dryWords {
	say := tongue.Translate
	level, power := say("the level of the test, α"), say("the computed power")
	w := dryWords{say: say, tongue: tongue, finds: say("find a difference"), none: say("there is no difference at all"),
		noneBy: level,
		smallest: say("there is the smallest difference worth acting on, %s",
			pointsWords(tongue, tried.Smallest.Difference)), smallestBy: power,
		given: say("If the spread is as assumed"), aim: say("the smallest difference worth acting on"),
		power:   tried.Smallest.Computed,
		assumed: spreadWords(tongue, a, tried.Spread) + " " + say("The other samples and attributes know no effect."),
		said:    aRating, state: aDifference,
		formula: say("“Should be about” knows nothing of the ends and steps of the scale, to which the simulated " +
			"marks keep.")}
	switch k := a.Question.Kind(); {
	case k.Ascending:
		w.ofThreshold(a, tried)
	case k.OneDish:
		w.ofOneDish(a, tried)
	case k.Tells:
		w.ofTold(a, tried)
	case k.Amounts:
		w.ofAmounts(a, tried)
	case a.Question.Response() == study.TickWords:
		w.ofTicks(a, tried)
	case a.Plan.WholePanel:
		w.ofAllSamples(a, tried)
	case ranks(a):
		best, worst := analysis.BestAndWorst(a)
		w.said, w.state, w.formula = anOrder, aShare, say("“Should be about” comes from a formula for large panels.")
		w.finds, w.none = say("find an order"), say("everybody puts the samples in an order at random")
		w.smallest = say("%s of people put %s before %s, the smallest share worth acting on",
			analysis.Percent(tried.Smallest.Difference), summary.SampleWords(tongue, a, best),
			summary.SampleWords(tongue, a, worst))
		w.given, w.aim = say("If people are as assumed"), say("such an order")
		if len(a.Plan.Expected) > 0 {
			w.smallestBy = say("the computed power without an expected order: more with it")
			w.power = clearlyLess(tried.Smallest.Often, analysis.DefaultPower)
		}
		w.assumed = say("Each person sees each sample at its place with an error of their own (Thurstone 1927, " +
			"case V), and puts them in the order that they see. The samples between the first and the last lie " +
			"midway.")
	case a.Plan.Test == study.Equivalence:
		w.finds, w.aim = say("find the two practically the same"), say("two that are the same to be practically "+
			"the same")
		w.noneBy, w.smallestBy, w.power = power, level, tried.None.Computed
	}
	return w
}

// clearlyLess is the share of simulated studies where chance does not explain that it is less
// than so much, NaN where it may.
func clearlyLess(f analysis.Found, than float64) float64 {
	if f.Share+2*f.SE < than {
		return f.Share
	}
	return math.NaN()
}

// ranks reports whether people put the samples in an order.
func ranks(a *study.Study) bool { return a.Question.Response() == study.RankAll }

func (page *dryRun) add(w site.Tongue, a *study.Study, q dryRunAsked, effect, truth, by string, t panel.Trial) {
	line := dryTruth{
		Truth: truth, Found: w.Translate(outcomeWords(a, t)),
		Share: w.Translate("%d of %d: %s %% (standard error %s points)", t.Often.Found, t.Often.Studies,
			oneDecimal(w, t.Often.Share), oneDecimal(w, t.Often.SE)),
		Computed: oneDecimal(w, t.Computed) + " %, " + by,
	}
	if math.IsNaN(t.Computed) {
		line.Computed = w.Translate("cannot be computed")
	}
	if q.effect == effect {
		page.Shown = truth
		page.Report = report.Build(a, t.Result, report.Options{Simulated: true})
		page.Report.Title = page.Study // a draft may have none
	} else {
		q.effect = effect
		line.Href = q.address() + "#report"
	}
	page.Truths = append(page.Truths, line)
}

// outcomeWords says in English what came out, and whether that is right.
func outcomeWords(a *study.Study, t panel.Trial) string {
	found, there := analysis.FindsAsPlanned(a, t.Result.Findings[0]), t.Difference > 0
	if a.Plan.StopEarly && t.Result.Findings[0].Verdict.Code == analysis.Alike {
		return samenessOutcome(true, !there)
	}
	if a.Plan.Test == study.Equivalence {
		return samenessOutcome(found, !there)
	}
	what, alarm := "a difference found", "a difference found: a false alarm"
	if a.Question.Kind().OneDish {
		what, alarm = "something to change found", "something to change found: a false alarm"
	}
	if a.Question.Kind().Ascending {
		what, alarm = "it is tasted", "it is tasted: a false alarm"
	}
	if ranks(a) {
		what, alarm = "an order found", "an order found: a false alarm"
	}
	switch {
	case found && !there:
		return alarm
	case there && !found:
		return "none found: a miss"
	case found:
		return what
	}
	return "none found"
}

func samenessOutcome(found, there bool) string {
	switch {
	case found && !there:
		return "said to be practically the same: a false alarm"
	case there && !found:
		return "not shown to be the same: a miss"
	case found:
		return "practically the same"
	}
	return "not shown to be the same"
}

// decimal writes a number that is written already as a language does.
func decimal(w site.Tongue, number string) string { return strings.Replace(number, ".", w.Decimal, 1) }

// oneDecimal writes a share as percent.
func oneDecimal(w site.Tongue, share float64) string {
	return decimal(w, strconv.FormatFloat(100*share, 'f', 1, 64))
}

func pointsWords(w site.Tongue, v float64) string {
	return pointsOf(w, strconv.FormatFloat(v, 'f', -1, 64))
}

// pointsOf says as points what is written as a number already.
func pointsOf(w site.Tongue, number string) string {
	if number == "1" {
		return w.Translate("1 point")
	}
	return w.Translate("%s points", decimal(w, number))
}

func spreadWords(w site.Tongue, a *study.Study, s analysis.Spread) string {
	groups := a.Serving.Design == study.One
	from := w.Translate("as asked for in the address")
	switch s.Source {
	case analysis.SpreadEarlier:
		from = w.Tell(s.Words())
	case analysis.SpreadByRule:
		from = w.Translate("by a rule of thumb: one rating is off by about %s of the length of its scale (Hough et "+
			"al. 2006, cited from memory), a difference of two by √2 times that",
			analysis.Percent(analysis.RatingNoise))
		if groups {
			from = w.Translate("by a rule of thumb: about %s of the length of the scale (common practice, no source)",
				analysis.Percent(analysis.RatingScatter))
		}
	}
	if groups {
		return w.Translate("What different people say of the same sample scatters with a standard deviation of %s, "+
			"%s.", pointsOf(w, analysis.Points(s.SD)), from)
	}
	return w.Translate("The difference that one person tastes scatters around the true one with a standard "+
		"deviation of %s, %s.", pointsOf(w, analysis.Points(s.SD)), from)
}

// otherSpreads offers spreads around the one that is usually assumed, and the rule of
// thumb to who does not trust earlier studies.
func otherSpreads(w site.Tongue, q dryRunAsked, assumed, rule analysis.Spread) []otherSpread {
	var all []otherSpread
	usual := assumed.SD
	type offer struct {
		words string
		sd    float64
	}
	offers := []offer{{"half of what is assumed", usual / 2}, {"what is assumed as a rule", usual},
		{"half as much again", 1.5 * usual}}
	if assumed.Source == analysis.SpreadEarlier {
		offers = append(offers, offer{"the rule of thumb", rule.SD})
	}
	for _, x := range offers {
		at, words := q, analysis.Points(x.sd)
		at.spread, _ = strconv.ParseFloat(words, 64)
		if x.sd == usual {
			at.spread = 0
		}
		if at.spread != q.spread {
			all = append(all, otherSpread{w.Translate("Try a spread of %s, %s", pointsOf(w, words),
				w.Translate(x.words)), at.address()})
		}
	}
	return all
}
