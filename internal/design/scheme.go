package design

import "cloche/internal/study"

// scheme is what a study asks for, ready to be drawn: the lottery of its rated
// servings and how its columns fall into sittings.
type scheme struct {
	study   *study.Study
	samples []study.SampleID
	n       int // assessors

	orders lottery // of the rated servings (and of the reference of a duo-trio)
	unit   int     // columns of one turn
	lead   bool    // the first column of each turn is its reference
	breaks []int   // columns before which a new sitting begins
	gaps   bool    // some columns stay empty, so positions are only nearly even

	levels [][]int // known levels of the assessors; nil = deal places in turn
	known  []int32 // combinations of levels of a plan that is redrawn
	strata strata
	blocks *Blocks // of a design some

	warmUp    int32 // sample, or none
	reference int32 // fixed reference, or none
	names     *names

	rounds [][2]int // columns served at each sitting that an assessor attends
	groups int      // of assessors, each with sittings of its own
}

// newScheme reads a study. The study is taken to be valid in itself; what
// depends on numbers of people and plates is checked here, whether the sittings
// hold the panel by splitPanel.
func newScheme(s *study.Study, o Options) (*scheme, error) {
	c := &scheme{study: s, unit: 1, n: s.Panel.Assessors, levels: o.Levels, known: o.stratum}
	if o.Assessors != 0 {
		c.n = o.Assessors
	}
	if c.n < 1 {
		return nil, conflict(study.Say("panel.assessors is %d", c.n),
			study.Say("write how many assessors will taste, at least 1"))
	}
	for _, x := range s.Samples {
		c.samples = append(c.samples, x.ID)
	}
	if n := len(c.samples); n > maxSamples || n < 2 && (n < 1 || !s.Question.Kind().OneDish) {
		return nil, conflict(study.Say("there are %d samples", n), study.Say("write 2 to %d samples", maxSamples))
	}
	var err error
	if c.warmUp, err = c.index("serving.warm-up", s.Serving.WarmUp); err != nil {
		return nil, err
	}
	if c.reference, err = c.index("serving.fixed reference", s.Serving.FixedReference); err != nil {
		return nil, err
	}
	if err := c.chooseOrders(); err != nil {
		return nil, err
	}
	if s.Serving.Expectation {
		c.names = newNames(s)
	}
	if err := c.splitColumns(); err != nil {
		return nil, err
	}
	c.tellCuts()
	return c, nil
}

// maxSamples is the most samples of a study: letters of the alphabet, and far
// more than anybody can taste.
const maxSamples = 26

// index returns the place of a sample in the study, none for no sample.
func (c *scheme) index(field string, id study.SampleID) (int32, error) {
	if id == "" {
		return none, nil
	}
	for i, x := range c.samples {
		if x == id {
			return int32(i), nil
		}
	}
	return none, conflict(study.Say("%s is %q, which is not a sample", field, id),
		study.Say("write the id of a sample"))
}

// passes is how often each sample, or each turn of several, is served to an assessor.
func (c *scheme) passes() int { return max(1, c.study.Serving.Replicates) }

// extra counts the plates that each sitting begins with.
func (c *scheme) extra() int {
	n := 0
	if c.warmUp != none {
		n++
	}
	if c.reference != none {
		n++
	}
	return n
}

// splitColumns cuts the columns into the sittings that each assessor attends:
// as few as possible, as even as possible, never within a turn.
func (c *scheme) splitColumns() error {
	width, unit := c.orders.width(), c.unit
	most := width
	if m := c.study.Serving.MaxPerSitting; m > 0 {
		most = (m - c.extra()) / unit * unit
	}
	if most < unit {
		return fieldConflict(study.Say("one person gets at most %d at a sitting, but a sitting needs at least %s",
			c.study.Serving.MaxPerSitting, c.plates(unit)),
			study.Say("write most per sitting: %d or more", unit+c.extra()),
			FieldMostAtSitting, study.Say("%d or more", unit+c.extra()))
	}
	ends := append(append([]int(nil), c.breaks...), width)
	from := 0
	for _, to := range ends {
		units := (to - from) / unit
		parts := (to - from + most - 1) / most
		for i := range parts {
			next := from + (units/parts)*unit
			if i < units%parts {
				next += unit
			}
			c.rounds = append(c.rounds, [2]int{from, next})
			from = next
		}
	}
	return nil
}

// plates words n rated servings with the plates that a sitting begins with.
func (c *scheme) plates(n int) study.Said {
	text := study.Say("%d servings", n)
	if n == 1 {
		text = study.Say("1 serving")
	}
	if c.extra() > 0 {
		text = study.Say("%s, %s", text, c.before())
	}
	return text
}

// before words the plates that a sitting begins with.
func (c *scheme) before() study.Said {
	switch {
	case c.reference == none:
		return study.Say("a warm-up")
	case c.warmUp == none:
		return study.Say("a fixed reference")
	}
	return study.Say("a warm-up, a fixed reference")
}

// sittingsNeeded says that what was asked for does not fit into the sittings there are.
const sittingsNeeded = "%s need at least %d sittings; planned: %d"

// splitPanel cuts the panel into groups. Every group attends its own sittings;
// groups are runs of assessors as even as can be.
func (c *scheme) splitPanel() error {
	sittings, seats := max(1, c.study.Panel.Sittings), c.study.Panel.Seats
	rounds := len(c.rounds)
	c.groups = min(sittings/rounds, c.n)
	need := rounds
	if seats > 0 {
		need = (c.n + seats - 1) / seats * rounds
	}
	if sittings >= need {
		return nil
	}
	write, number := study.Say("write panel.sittings: %d", need), study.Say("%d", need)
	if rounds > sittings {
		return fieldConflict(study.Say(sittingsNeeded, c.reason(), rounds, sittings), write, FieldSittings, number)
	}
	what := study.Say("%d assessors with %d seats", c.n, seats)
	if rounds > 1 {
		what = study.Say("%d assessors with %d seats and %d sittings each", c.n, seats, rounds)
	}
	return fieldConflict(study.Say(sittingsNeeded, what, need, sittings), write, FieldSittings, number)
}

// reason words why an assessor must come more than once.
func (c *scheme) reason() study.Said {
	what := study.Say("%d samples", c.orders.width()/c.passes())
	if !c.study.Question.OneByOne() {
		what = study.Say("%d trials of %d servings", c.orders.width()/c.unit, c.unit)
	} else if c.passes() > 1 {
		what = study.Say("%s served %d times", what, c.passes())
	}
	if m := c.study.Serving.MaxPerSitting; m > 0 {
		what = study.Say("%s with %d per sitting", what, m)
		if c.extra() > 0 {
			what = study.Say("%s (%s)", what, c.before())
		}
	}
	if len(c.breaks) > 0 {
		what = study.Say("%s with dishes kept apart", what)
	}
	return what
}

// group returns the group of an assessor.
func (c *scheme) group(i int) int {
	small, larger := c.n/c.groups, c.n%c.groups
	if i < larger*(small+1) {
		return i / (small + 1)
	}
	return larger + (i-larger*(small+1))/small
}
