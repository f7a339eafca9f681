package analysis

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// Truth is what holds in an invented panel, by attribute. Attributes that it
// does not name are rated at the middle of their scale, with scatter.
type Truth map[study.AttributeID]TrueAttribute

// TrueAttribute is how an invented panel rates an attribute, in scale points
// before rounding. A rating is
//
//	Mean + w·Effects[sample] + PerPosition·(position−1) + u + s + d + v + e
//
// with w ~ N(1, EffectSD²) for how strongly the assessor tastes what samples differ in,
// u ~ N(0, AssessorSD²) for the assessor, s ~ N(0, SittingSD²) for the sitting,
// d ~ N(0, DaySD²) for the assessor at the sitting, v ~ N(0, SampleSD²) for the
// assessor's own view of the sample, e ~ N(0, RatingSD²), rounded to the scale
// and held within its ends.
type TrueAttribute struct {
	Mean        float64
	Effects     map[study.SampleID]float64
	EffectSD    float64 // 0 = all people taste them as strongly
	PerPosition float64 // gained with each serving
	AssessorSD  float64
	SittingSD   float64
	DaySD       float64
	SampleSD    float64
	RatingSD    float64
}

// Simulate invents the ratings of a whole plan: every assessor rates every
// attribute of every rated serving. The same study, plan, truth and seed give
// the same ratings; the draw of one attribute does not shift another's.
func Simulate(s *study.Study, plan *design.Plan, truth Truth, seed uint64) []Rating {
	answered := s.Answered()
	columns := make([][]Rating, len(answered))
	for i, a := range answered {
		columns[i] = simulateAttribute(a, plan, truth.of(a), seed)
	}
	var ratings []Rating // serving by serving, attributes in the order of the study
	for i := range columns[0] {
		for _, c := range columns {
			ratings = append(ratings, c[i])
		}
	}
	if s.Plan.Evidence != "" {
		number(ratings)
	}
	return ratings
}

func (t Truth) of(a study.Attribute) TrueAttribute {
	if v, ok := t[a.ID]; ok {
		return v
	}
	span := a.Scale.Max() - a.Scale.Min()
	if !a.Scale.Averages() { // six of ten people find it about right, two too little and two too much
		return TrueAttribute{Mean: a.Scale.Min() + span/2, AssessorSD: 0.42, RatingSD: 0.42}
	}
	return TrueAttribute{Mean: a.Scale.Min() + span/2, AssessorSD: span / 10, RatingSD: span / 10}
}

// newStream is a generator of its own for one draw.
func newStream(seed uint64, draw string) *rand.Rand {
	text := binary.BigEndian.AppendUint64([]byte("cloche invented "), seed)
	return rand.New(rand.NewChaCha8(sha256.Sum256(append(text, draw...))))
}

func simulateAttribute(a study.Attribute, plan *design.Plan, t TrueAttribute, seed uint64) []Rating {
	random := newStream(seed, "ratings of "+string(a.ID))
	var out []Rating
	assessor := int32(-1)
	var u float64
	strongly := 1.0
	var views []float64
	for _, v := range plan.Servings {
		if v.Assessor != assessor { // servings stand by assessor
			assessor = v.Assessor
			u = t.AssessorSD * random.NormFloat64()
			if t.EffectSD > 0 {
				strongly = 1 + t.EffectSD*random.NormFloat64()
			}
			views = make([]float64, len(plan.Samples))
			for i := range views {
				views[i] = t.SampleSD * random.NormFloat64()
			}
		}
		if v.Role != design.Rated {
			continue
		}
		sample := plan.Samples[v.Sample]
		value := t.Mean + strongly*t.Effects[sample] + t.PerPosition*float64(v.Position-1) + u +
			views[v.Sample] + t.RatingSD*random.NormFloat64()
		out = append(out, Rating{
			Assessor: AssessorLabel(int(v.Assessor)), Turn: int(v.Turn), Position: int(v.Position),
			Sitting: int(v.Sitting), Code: v.Code,
			Sample: sample, Attribute: a.ID, Value: value,
		})
	}
	addSittings(out, a, t, newStream(seed, "sittings of "+string(a.ID)))
	return out
}

// number says in what order turns came: as they stand, each answered once.
func number(ratings []Rating) {
	came, last := 0, [2]string{}
	for i := range ratings {
		r := &ratings[i]
		if at := [2]string{r.Assessor, strconv.Itoa(r.Turn)}; i == 0 || at != last {
			came, last = came+1, at
		}
		r.Arrived = came
	}
}

// addSittings adds what belongs to the sitting, and to the assessor at the sitting, and
// rounds to the scale.
func addSittings(ratings []Rating, a study.Attribute, t TrueAttribute, random *rand.Rand) {
	type day struct {
		assessor string
		sitting  int
	}
	levels := map[day]float64{}
	level := func(d day, sd float64) float64 {
		if _, ok := levels[d]; !ok {
			levels[d] = sd * random.NormFloat64()
		}
		return levels[d]
	}
	for i := range ratings {
		r := &ratings[i]
		if t.SittingSD > 0 || t.DaySD > 0 {
			r.Value += level(day{"", r.Sitting}, t.SittingSD) + level(day{r.Assessor, r.Sitting}, t.DaySD)
		}
		r.Value = onScale(a.Scale, r.Value)
	}
}

// onScale rounds to the steps that a phone records, within the ends.
func onScale(s study.Scale, v float64) float64 {
	steps := math.Round((v - s.Min()) / s.Step())
	return min(s.Max(), max(s.Min(), s.Min()+steps*s.Step()))
}
