package analysis

import (
	"math"
	"sort"
	"strconv"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ordinal"
	"cloche/internal/study"
)

// OrdinalTest is the test of the order of the answers of people who answer of both samples.
// Its difference is of the labels' numbers. It is sized for the labels of a study.
const OrdinalTest = SizedTest(method.Ordinal)

// OrdinalOfGroups is the same of two groups, each of whom answers of one of the samples.
const OrdinalOfGroups = SizedTest("ordinal-groups")

// orderedAnswers is how people are taken to answer on a scale of labels, in numbers of the
// labels: what somebody finds lies about their own level with a logistic scatter, and they
// choose the nearest label. Levels scatter as much as answers do, so that the two answers of
// a person hang together by a half before they go to labels. Of two groups everybody brings
// one answer, and levels are part of its scatter.
type orderedAnswers struct {
	labels int
	scale  float64 // of the logistic scatter
	groups bool
}

// Normal levels are summed over so many steps of levelStep standard deviations.
const (
	levelStep  = 0.25
	levelSteps = 20 // on either side
)

// overLevels is the mean of f over the levels of people.
func (m orderedAnswers) overLevels(f func(level float64) float64) (mean float64) {
	if m.groups {
		return f(0)
	}
	sd, whole := m.scale*math.Pi/math.Sqrt(3), 0.0
	for i := -levelSteps; i <= levelSteps; i++ {
		z := levelStep * float64(i)
		weight := math.Exp(-z * z / 2)
		mean += weight * f(sd*z)
		whole += weight
	}
	return mean / whole
}

// shares are those of the labels when what is found lies at a place, the middle of the
// scale at 0.
func (m orderedAnswers) shares(at float64) []float64 {
	all, below := make([]float64, m.labels), 0.0
	for j := range all {
		upTo := 1.0
		if j < m.labels-1 {
			cut := float64(j) + 1 - float64(m.labels)/2
			upTo = 1 / (1 + math.Exp((at-cut)/m.scale))
		}
		all[j], below = upTo-below, upTo
	}
	return all
}

func meanLabel(shares []float64) (mean, variance float64) {
	for j, p := range shares {
		mean += float64(j) * p
	}
	for j, p := range shares {
		variance += (float64(j) - mean) * (float64(j) - mean) * p
	}
	return mean, variance
}

// spread is that of the differences of a person's two answers where the samples are alike;
// of groups that of answers.
func (m orderedAnswers) spread() float64 {
	answers := 2.0
	if m.groups {
		answers = 1
	}
	return math.Sqrt(answers * m.overLevels(func(level float64) float64 {
		_, variance := meanLabel(m.shares(level))
		return variance
	}))
}

// difference is that of the mean answers where what is found of two samples lies so far
// apart, about the middle of the scale.
func (m orderedAnswers) difference(apart float64) float64 {
	return m.overLevels(func(level float64) float64 {
		high, _ := meanLabel(m.shares(level + apart/2))
		low, _ := meanLabel(m.shares(level - apart/2))
		return high - low
	})
}

// answersWith are answers that scatter by a spread; not ok where labels cannot.
func answersWith(labels int, spread float64, groups bool) (m orderedAnswers, ok bool) {
	at := func(scale float64) float64 { return orderedAnswers{labels, scale, groups}.spread() }
	largest := float64(labels)
	if !(at(largest) > spread) {
		return orderedAnswers{labels, largest, groups}, false
	}
	scale := numeric.Bisect(1e-3, largest, func(s float64) bool { return at(s) < spread })
	return orderedAnswers{labels, scale, groups}, true
}

// expectedPeople are those of whom the model is fitted to what is expected.
const expectedPeople = 4000

// perPerson is the statistic of the test that one person brings: of n people it lies about
// √n times that, of groups with n the people in each. The model is fitted to as many answers
// as are expected of many people. Self, Mauritsen & Ohara (1992), Biometrics 48:31, from memory.
func (m orderedAnswers) perPerson(difference float64) float64 {
	longest := 20 * float64(m.labels)
	apart := numeric.Bisect(0, longest, func(x float64) bool { return m.difference(x) < difference })
	expected, people := m.expected(apart)
	fit, err := ordinal.Fit(expected)
	if err != nil || !fit.Converged {
		return math.NaN()
	}
	c, err := fit.Difference("", sampleFactor+"1", stats.DefaultLevel)
	if err != nil || people == 0 {
		return math.NaN()
	}
	return math.Abs(c.Z) / math.Sqrt(float64(people))
}

// expected is the model of what is expected of many people, and of how many of them; of
// groups, of as many in each.
func (m orderedAnswers) expected(apart float64) (ordinal.Model, int) {
	out := ordinal.Model{Levels: m.names(), Fixed: []model.Term{{sampleFactor}}, Points: quadraturePoints}
	data, people := &out.Data, 0
	var assessor, sample []int
	if m.groups {
		for k, at := range [2]float64{apart / 2, -apart / 2} {
			for i, share := range m.shares(at) {
				for range int(math.Round(expectedPeople * share)) {
					data.Response, sample = append(data.Response, float64(i)), append(sample, k)
				}
			}
		}
		data.Factors = []model.Factor{factorOf(sampleFactor, sample, 2)}
		return out, len(sample) / 2
	}
	for i := range m.labels {
		for j := range m.labels {
			chance := m.overLevels(func(level float64) float64 {
				return m.shares(level + apart/2)[i] * m.shares(level - apart/2)[j]
			})
			for range int(math.Round(expectedPeople * chance)) {
				data.Response = append(data.Response, float64(i), float64(j))
				assessor, sample = append(assessor, people, people), append(sample, 0, 1)
				people++
			}
		}
	}
	data.Factors = []model.Factor{factorOf(sampleFactor, sample, 2), factorOf(assessorFactor, assessor, people)}
	out.Group = model.Term{assessorFactor}
	return out, people
}

func (m orderedAnswers) names() []string {
	all := make([]string, m.labels)
	for i := range all {
		all[i] = strconv.Itoa(i)
	}
	return all
}

// ordinalSize is the test of the order of the answers, by the normal distribution of its
// statistic.
type ordinalSize struct {
	q    Sizing
	side stats.Alternative
	// what one person brings by difference, from 0 on in even steps
	step float64
	each []float64
}

// ordinalGrid is at how many differences the model is fitted; between them lie lines.
const ordinalGrid = 8

func newOrdinalSize(q Sizing, side stats.Alternative) (sizeMethod, error) {
	if q.Labels < 2 {
		return nil, &SizingError{"test", study.Say("how sure the order of answers is depends on the labels, and " +
			"none are given"),
			study.Say("size it from a study file with a scale of labels")}
	}
	answers, ok := answersWith(q.Labels, q.Spread.SD, q.Test == OrdinalOfGroups)
	if !ok {
		return nil, &SizingError{"spread", study.Say("answers on %d labels cannot scatter by %s", q.Labels,
			pointsWord(q.Spread.SD)), study.Say("write a number below %s", Points(answers.spread()))}
	}
	m := &ordinalSize{q: q, side: side, step: 0.8 * float64(q.Labels-1) / ordinalGrid}
	if d := q.Difference; d > 0 && d < 0.8*float64(q.Labels-1) { // which is then one of the steps
		m.step = d / math.Ceil(d/m.step)
	}
	m.each = orderedGrids.of(orderedGrid{answers, m.step}, func() []float64 {
		each := []float64{0}
		for i := 1; i <= ordinalGrid; i++ {
			x := answers.perPerson(m.step * float64(i))
			if !(x > each[i-1]) { // so far apart that hardly any label is shared
				break
			}
			each = append(each, x)
		}
		return each
	})
	return m, nil
}

// orderedGrid is all that the grid of an [ordinalSize] rests on.
type orderedGrid struct {
	answers orderedAnswers
	step    float64
}

var orderedGrids kept[orderedGrid, []float64] // which are only read

// at is what one person brings of a difference.
func (m *ordinalSize) at(difference float64) float64 {
	k := int(difference / m.step)
	if last := len(m.each) - 1; k >= last {
		return m.each[last] * math.Max(1, difference/(m.step*float64(last)))
	}
	part := difference/m.step - float64(k)
	return m.each[k] + part*(m.each[k+1]-m.each[k])
}

func (m *ordinalSize) effect() float64 {
	if m.q.Difference == 0 {
		return math.NaN()
	}
	return m.q.Difference / m.q.Spread.SD
}

func (m *ordinalSize) fewest() int {
	if m.q.Test == OrdinalOfGroups {
		return FewestInGroup(m.q.Alpha)
	}
	return Fewest(m.q.Alpha)
}

func (m *ordinalSize) power(n int) float64 { return m.powerOf(n, m.q.Difference) }

func (m *ordinalSize) powerOf(n int, difference float64) float64 {
	if n < m.fewest() {
		return 0
	}
	shift := m.at(difference) * math.Sqrt(float64(n))
	if m.side == stats.TwoSided {
		bar := -dist.NormalQuantile(m.q.Alpha / 2)
		return dist.NormalSurvival(bar-shift) + dist.NormalCDF(-bar-shift)
	}
	return dist.NormalSurvival(-dist.NormalQuantile(m.q.Alpha) - shift)
}

func (m *ordinalSize) needed() (first, safe int) {
	n := m.fewest() + sort.Search(largestPanel-m.fewest(), func(i int) bool {
		return m.power(m.fewest()+i) >= m.q.Power
	})
	return n, n
}

func (m *ordinalSize) detects(n int) (difference, distance float64) {
	most := float64(m.q.Labels - 1)
	if n < m.fewest() || m.powerOf(n, most) < m.q.Power {
		return math.NaN(), math.NaN()
	}
	return numeric.Bisect(0, most, func(d float64) bool { return m.powerOf(n, d) < m.q.Power }), math.NaN()
}

func (m *ordinalSize) assumptions() []study.Said {
	if m.q.Test == OrdinalOfGroups {
		return []study.Said{study.Say("a difference is that of the labels’ mean numbers, about the middle of the " +
			"scale; people choose the label nearest to what they find, which scatters alike in both groups"),
			study.Say("the formula is of large groups (the model fitted to what is expected of many people)"),
			study.Say("groups are equally large, and everybody counted rates their sample"), onlyOneComparison}
	}
	return []study.Said{study.Say("a difference is that of the labels’ mean numbers, about the middle of the " +
		"scale; people choose the label nearest to what they find, and their levels scatter as much as their " +
		"answers"),
		study.Say("the formula is of large panels (the model fitted to what is expected of many people): of 30 " +
			"people the test found a little more in simulated studies"),
		study.Say("everybody counted rates both samples: plan some more for those who leave"), onlyOneComparison}
}
