package builder

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// checkPage is all answers of quick start on one page, with the lock at its end.
type checkPage struct {
	building
	Answers    []answered
	Remarks    []remark // on the names; nothing is wrong
	Elsewhere  []remark // what only the builder shows
	CannotRun  string
	Ready      bool
	Notice     *notes
	Partner    []partnerPart
	BuilderRef string
}

// answered is an answer with the way to change it.
type answered struct {
	Asked, Href string
	Values      []string
	Wrong       []string
}

// partnerPart is a part of the plan in the partner's words.
type partnerPart struct {
	summary.Part
	Href string
}

var checkScreen = site.DeskScreen[checkPage]("builder/check")

func (s *handlers) showCheck(c *gin.Context, status int, b *builder) error {
	page := checkPage{building: building{Frame: s.StudyFrame(c, b.say("Check your answers")+" · "+
		summary.Title(b.tongue, b.saved), b.asked), ID: b.saved.ID, Called: summary.Title(b.tongue, b.saved),
		Revision: b.saved.Revision, Name: quickEnd,
		Heading: b.say("Check your answers"), Stale: c.Query("stale") != ""}, BuilderRef: b.Href(steps()[0].name)}
	page.Answers = b.answers()
	b.placeProblems(&page)
	for _, r := range study.NameRemarks(b.asked) {
		page.Remarks = append(page.Remarks, remark{b.QuickHref("names") + "?from=" + quickEnd, b.remarkWords(r)})
	}
	page.Notice = s.noticesPlanned(c, b)
	if len(b.Problems) == 0 {
		_, reason, err := PreviewPlan(c.Request.Context(), b.tongue, s.Panel, b.saved.ID)
		if err != nil {
			return err
		}
		page.CannotRun, page.Ready = reason, reason == ""
		page.Partner = b.forPartner()
	}
	return site.Show(s.Site, c, status, checkScreen, page)
}

// placeProblems puts each problem to the answer that it is about, and the rest to the step of
// the builder that shows it.
func (b *builder) placeProblems(page *checkPage) {
	for _, x := range b.Problems {
		name, text := b.quickOwner(x), b.says(x)
		if b.isOpen(x) {
			text = b.say("Still missing")
		}
		href := b.QuickHref(name) + "?from=" + quickEnd + "&missing=yes"
		placed := false
		for i := range page.Answers {
			a := &page.Answers[i]
			if name != "" && a.Href == b.QuickHref(name)+"?from="+quickEnd && (len(a.Values) == 0 || !b.isOpen(x)) {
				if len(a.Wrong) == 0 {
					a.Wrong = append(a.Wrong, text)
					page.Wrong = append(page.Wrong, remark{href, a.Asked + ": " + text})
				}
				placed = true
				break
			}
		}
		if !placed {
			if name == "" {
				href, text = b.Href(b.owner(x.Path)), b.says(x)
			}
			page.Wrong = append(page.Wrong, remark{href, text})
		}
	}
}

// answers are what was answered on the road, in its order.
func (b *builder) answers() (list []answered) {
	add := func(screen, asked string, values ...string) {
		a := answered{Asked: b.say(asked), Href: b.QuickHref(screen) + "?from=" + quickEnd}
		for _, v := range values {
			if v = strings.TrimSpace(v); v != "" {
				a.Values = append(a.Values, v)
			}
		}
		list = append(list, a)
	}
	if b.comparesNames() {
		add("names", "Names", b.each("names", "text")...)
		add("plate", "Dish", b.text.Value("dishes[0].title"))
	} else {
		add("dishes", "Dishes", b.each("dishes", "title")...)
	}
	add("plate", "Portion", b.text.Value("dishes[0].portion"))
	add("plate", "Served at", b.text.Value("dishes[0].serve at"))
	for i := range max(1, b.text.Len("dishes")) {
		asked := "Contains"
		if b.text.Len("dishes") > 1 {
			asked = b.say("Contains: %s", b.text.Value(fmt.Sprintf("dishes[%d].title", i)))
		}
		add("contains", asked, b.containsWords(i))
	}
	if b.pours() {
		add("age", "Minimum age", b.text.Value("panel.minimum age"))
	}
	if b.rates() {
		first, also := b.askedWords()
		add("first", "What decides", first)
		add("also", "Also asked", cmp.Or(also, b.say("nothing else")))
	}
	if b.asksChange() {
		add("change", "Act on", b.changeWords())
	}
	add("guests", "Guests", b.text.Value("panel.assessors"))
	add("guests", "The evening", cmp.Or(b.eveningWords(), b.say("any")))
	return list
}

// each is a value of every item of a list.
func (b *builder) each(list, key string) (values []string) {
	for i := range b.text.Len(list) {
		values = append(values, b.text.Value(fmt.Sprintf("%s[%d].%s", list, i, key)))
	}
	return values
}

// containsWords say what a dish contains, as guests read it; "" before anybody said.
func (b *builder) containsWords(i int) string {
	if i >= len(b.asked.Dishes) || !b.text.Has(fmt.Sprintf("dishes[%d].allergens", i)) {
		return ""
	}
	c := b.asked.Dishes[i].ContentsIn(b.tongue.Tag())
	said := slices.Concat(c.Allergens, c.Contains)
	if c.Alcohol {
		said = append(said, b.say("alcohol"))
	}
	return cmp.Or(strings.Join(said, ", "), b.say("none of the 14 named; check the labels"))
}

// askedWords are the question that decides and the others.
func (b *builder) askedWords() (first, also string) {
	var others []string
	for _, a := range b.asked.Attributes {
		if a.ID == b.asked.Plan.Attribute {
			first = a.Ask
			continue
		}
		others = append(others, a.Ask)
	}
	return first, strings.Join(others, " ")
}

// changeWords say the smallest change to act on.
func (b *builder) changeWords() string {
	v := b.asked.Plan.SmallestEffect
	bar := b.bar(v)
	switch {
	case bar != nil:
		return bar.Words
	case v == 0:
		return b.say("not said")
	}
	return b.text.Value("analysis.smallest effect")
}

// eveningWords is the last day as people say it.
func (b *builder) eveningWords() string {
	day := b.text.Value("analysis.stop by")
	if t, err := time.Parse(time.DateOnly, day); err == nil {
		month := strings.Fields(b.tongue.Months)[t.Month()-1]
		return b.say("%s %d %s %d", b.say(t.Weekday().String()), t.Day(), month, t.Year())
	}
	return day
}

// forPartner is what else will be fixed, in the words of the plan, with the step of the
// builder in which each part is changed.
func (b *builder) forPartner() (parts []partnerPart) {
	at := map[string]string{"Question": "question", "Panel": "panel", "What will be tested": "analysis",
		"What is left out, and when tasting ends": "panel"}
	for _, p := range summary.PlanParts(b.tongue, b.asked) {
		if step, ok := at[p.Heading]; ok {
			parts = append(parts, partnerPart{p, b.Href(step)})
		}
	}
	return parts
}

// notices are what some panels would notice, the planned one among them.
func (s *handlers) notices(c *gin.Context, b *builder) *notes {
	if !s.learn(c, b) {
		return nil
	}
	n := b.noticesOf(panelsShown...)
	if n != nil {
		n.Pilot, n.Low, n.High = "", "", "" // the ends stood on the screen before
	}
	return n
}

// noticesPlanned is what the panel planned would notice.
func (s *handlers) noticesPlanned(c *gin.Context, b *builder) *notes {
	if b.asked.Panel.Assessors == 0 || !s.learn(c, b) {
		return nil
	}
	n := b.noticesOf(b.asked.Panel.Assessors)
	if n != nil {
		n.Means = "" // said where the number was asked for
	}
	return n
}

// learn puts in what earlier studies tell of the spread; not when nothing can be sized.
func (s *handlers) learn(c *gin.Context, b *builder) bool {
	if !b.sizes() {
		return false
	}
	earlier, err := s.Panel.EarlierSpread(c.Request.Context(), site.SessionOf(c), b.asked)
	if err == nil {
		b.earlier = earlier
	}
	return err == nil
}
