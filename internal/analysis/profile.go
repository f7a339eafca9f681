package analysis

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/profile"
	"cloche/internal/study"
)

// Profile is what a study that describes its samples finds beside what it finds of all
// samples on each attribute. It tells of the panel as a whole and of nobody in it: that is
// for [CheckPanel].
type Profile struct {
	Map   *ProductMap // nil: see NoMap
	NoMap Warning     // says why there is no map
	Panel []PanelOn   // on each attribute, in the order of the study
}

// ProductMap lays out samples by the attributes on which they differ: principal components
// of the samples' means, each attribute counted in its own standard deviations.
type ProductMap struct {
	Samples    []MapSample
	Attributes []MapAttribute // those on which the samples are told apart
	Left       []study.AttributeID
	Explained  [2]float64 // shares of all differences that the two directions hold
	N          int        // assessors who rated everything; the map is of them
	All        int        // assessors who rated anything
	Level      float64    // of the ellipses
	Draws      int        // panels drawn for them
	Warnings   []Warning
}

// MapSample is a sample on the map, with the ellipse in which it would lie had others like
// these assessors sat on the panel.
type MapSample struct {
	Sample study.SampleID
	profile.Ellipse
}

// MapAttribute is an attribute on the map: its correlations with the two directions.
type MapAttribute struct {
	Attribute study.AttributeID
	X, Y      float64
}

// PanelOn is how well the panel as a whole does on an attribute.
type PanelOn struct {
	Attribute study.AttributeID
	// FInteraction asks whether assessors differ in how they see the samples by more than one of
	// them differs from themselves; NaN without replicates.
	FInteraction, DF1, DF2, P float64
	Repeatability             float64 // standard deviation of a repeated rating, scale points; NaN without replicates
	N                         int     // assessors who rated every sample: the correlations are of them
	One, Whole                profile.ICC
	Warnings                  []Warning
}

// mapSeed is for the panels drawn for the ellipses: the same answers give the same map.
const mapSeed = 13299

// findProfile compares all samples on every attribute, see [panel.wholePanel], and lays them
// out on a map.
func findProfile(s *study.Study, ratings []Rating, expected []Expectation, left *leftOut, r *Result) error {
	if err := findRatings(s, ratings, expected, left, r); err != nil {
		return err
	}
	p, err := tabulate(s, ratings)
	if err != nil {
		return err
	}
	r.Profile = &Profile{Panel: make([]PanelOn, len(s.Attributes))}
	if err := atOnce(len(s.Attributes), func(i int) (err error) {
		r.Profile.Panel[i], err = p.panelOn(s, s.Attributes[i].ID)
		return err
	}); err != nil {
		return err
	}
	if p.most < 2 {
		r.Warnings = append(r.Warnings, warnNoReplicates())
	}
	return p.layOut(s, r)
}

// panelRatings are the ratings of an attribute as package profile takes them, with whose they
// are.
func (p *panel) panelRatings(s *study.Study, on study.AttributeID) (all []profile.PanelRating, people []string) {
	t := p.servings(s, on, sampleIDs(s))
	for i, v := range t.rating {
		all = append(all, profile.PanelRating{Assessor: t.assessor[i], Sample: t.sample[i], Value: v})
	}
	return all, t.people
}

// panelOn judges the panel on one attribute. Correlations are those of Shrout & Fleiss's
// two-way form for consistency, so that a person's own level does not count: of one
// assessor's means with another's, and of the panel's mean with that of another such panel.
func (p *panel) panelOn(s *study.Study, on study.AttributeID) (PanelOn, error) {
	nan := math.NaN()
	none := profile.ICC{Value: nan, CI: stats.NoInterval(s.Plan.Level())}
	out := PanelOn{Attribute: on, FInteraction: nan, DF1: nan, DF2: nan, P: nan, Repeatability: nan, One: none,
		Whole: none}
	ratings, _ := p.panelRatings(s, on)
	if len(ratings) == 0 {
		return out, nil
	}
	q, err := profile.PanelPerformance(ratings)
	if err != nil {
		return out, fmt.Errorf("judge the panel on %s: %w", on, err)
	}
	out.FInteraction, out.DF1, out.DF2, out.P = q.FInteraction, q.DFInteraction, q.DFError, q.PInteraction
	out.Repeatability = q.Repeatability
	table := p.complete(s, []study.AttributeID{on})
	if out.N = len(table); out.N < 2 {
		return out, nil
	}
	bySample := make([][]float64, len(s.Samples))
	for k := range bySample {
		for _, person := range table {
			bySample[k] = append(bySample[k], person[k][0])
		}
	}
	icc, err := profile.IntraclassCorrelations(bySample, s.Plan.Level())
	if err != nil {
		return out, fmt.Errorf("correlate the panel on %s: %w", on, err)
	}
	out.One, out.Whole = icc.Single3, icc.Average3
	return out, nil
}

// complete are the means of everybody who rated all samples on all these attributes, as
// [assessor][sample][attribute].
func (p *panel) complete(s *study.Study, on []study.AttributeID) (all profile.PanelTable) {
	for i := range p.assessors {
		table, whole := make([][]float64, len(s.Samples)), true
		for k, x := range s.Samples {
			for _, a := range on {
				v, _, ok := p.column(a, x.ID).mean(i)
				table[k], whole = append(table[k], v), whole && ok
			}
		}
		if whole {
			all = append(all, table)
		}
	}
	return all
}

// layOut draws the map of the attributes on which the samples are told apart. An attribute on
// which they are not would be stretched to the same spread, and its noise shown as a direction.
func (p *panel) layOut(s *study.Study, r *Result) error {
	m := ProductMap{All: len(p.assessors)}
	for _, a := range s.Attributes {
		if r.tellsApart(a.ID, s.Plan.Alpha) {
			m.Attributes = append(m.Attributes, MapAttribute{Attribute: a.ID})
		} else {
			m.Left = append(m.Left, a.ID)
		}
	}
	var on []study.AttributeID
	for _, a := range m.Attributes {
		on = append(on, a.Attribute)
	}
	table := p.complete(s, on)
	m.N = len(table)
	switch {
	case len(on) < 2:
		r.Profile.NoMap = warnNoMap(len(on))
		return nil
	case m.N < 2:
		r.Profile.NoMap = warnNobodyForMap(m.N)
		return nil
	}
	found, err := profile.MapMeans(table, newStream(mapSeed, "panels for the map"),
		profile.MeanMapOptions{Level: s.Plan.Level()})
	if errors.Is(err, profile.ErrConstantColumn) {
		r.Profile.NoMap = warnFlatMap()
		return nil
	}
	if err != nil {
		return fmt.Errorf("draw the map: %w", err)
	}
	m.fill(s, found)
	r.Profile.Map = &m
	return nil
}

// tellsApart reports whether the samples are told apart on an attribute.
func (r *Result) tellsApart(on study.AttributeID, alpha float64) bool {
	for _, f := range r.Findings {
		if f.Kind == KindPanel && f.Attribute == on {
			return f.Test.Deciding() < alpha
		}
	}
	return false
}

func (m *ProductMap) fill(s *study.Study, found profile.MeanMap) {
	for i, x := range s.Samples {
		m.Samples = append(m.Samples, MapSample{x.ID, found.Ellipses[i]})
	}
	for i := range m.Attributes {
		m.Attributes[i].X, m.Attributes[i].Y = found.PCA.Loadings[i][0], found.PCA.Loadings[i][1]
	}
	m.Explained = [2]float64{found.PCA.Explained[0], found.PCA.Explained[1]}
	m.Level, m.Draws = s.Plan.Level(), found.Draws
	for _, w := range found.Warnings {
		m.Warnings = append(m.Warnings, Warning{w.Code, w.Text})
	}
	if m.N < m.All {
		m.Warnings = append(m.Warnings, warnMapPart(m.N, m.All))
	}
}
