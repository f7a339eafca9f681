package design

import (
	"sort"
	"strconv"

	"cloche/internal/study"
)

// Code is a blinding code, as it stands on a plate: three digits, 100 to 999. "" means
// that the serving carries no code (a name that is read but not tasted).
type Code string

// numbered is the code of a number, 100 to 999.
func numbered(n int) Code { return Code(strconv.Itoa(n)) }

// Role is what a serving is for. The zero value is a serving that is rated and
// analysed.
type Role uint8

// The roles.
const (
	Rated     Role = iota
	WarmUp         // first, the same for all, not analysed
	Reference      // a known reference (fixed reference, or the reference of a duo-trio)
	Expected       // a name that is read and rated before any tasting; nothing is served
)

// Serving is one sample handed to one assessor.
type Serving struct {
	Assessor int32 // place in the plan, from 0
	Sitting  int32 // from 1
	Turn     int32 // from 1 among all that the assessor is given; servings of one turn come together
	Position int32 // from 1 among the assessor's rated servings; 0 for warm-up, reference and expected
	Sample   int32 // index into Plan.Samples, or Undealt
	Role     Role
	Code     Code
}

// Plan is a serving plan: every serving of a study, ordered by assessor and,
// within an assessor, in the order in which they are served.
type Plan struct {
	Engine    int    // version of the engine that drew it
	Seed      uint64 // of the draw
	Samples   []study.SampleID
	Assessors int
	Sittings  int
	Stratum   []int32 // combination of levels of each assessor, see [StratumLevels]; nil without strata
	OnArrival bool    // what is rated is [Undealt]: see [Arrivals]
	Servings  []Serving
	Spares    [][]Code // spare codes of each sitting
	Warnings  []Warning
}

// Warning is a remark on a plan; see package stats for the same idea.
type Warning struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Options are the choices of a draw that are not in the study.
type Options struct {
	Seed      uint64
	Assessors int // 0 = as the study says
	Engine    int // version of the engine; 0 = EngineVersion

	// Levels are the levels, from 0, of each assessor on each stratum of the
	// study, for a panel that is known beforehand. Nil deals the places of the
	// plan to the levels in turn.
	Levels [][]int

	// OnArrival draws everything but which sample each assessor gets: that is dealt
	// when they arrive and say to which stratum they belong. See [Arrivals].
	OnArrival bool

	stratum []int32 // of a plan that is redrawn
}

// Assessor returns the servings of one assessor, from 0, in the order in which
// they are served; nil when there is no such assessor. The slice is part of the
// plan.
func (p *Plan) Assessor(i int) []Serving {
	before := func(assessor int32) int {
		return sort.Search(len(p.Servings), func(k int) bool { return p.Servings[k].Assessor >= assessor })
	}
	if i < 0 || i >= p.Assessors {
		return nil
	}
	return p.Servings[before(int32(i)):before(int32(i+1))]
}

// String names the role as the canonical form does.
func (r Role) String() string {
	switch r {
	case Rated:
		return "rated"
	case WarmUp:
		return "warm-up"
	case Reference:
		return "reference"
	case Expected:
		return "expected"
	}
	return "role " + strconv.Itoa(int(r))
}

// StratumLevels spells a combination of levels, as [Plan.Stratum] numbers them:
// one level of each stratum of the study, the last stratum running fastest.
func StratumLevels(s *study.Study, combination int32) []string {
	levels := make([]string, len(s.Serving.Strata))
	c := int(combination)
	for f := len(levels) - 1; f >= 0; f-- {
		all := s.Serving.Strata[f].Levels
		if len(all) == 0 {
			continue
		}
		levels[f] = all[c%len(all)]
		c /= len(all)
	}
	return levels
}

// Attending lists the assessors, from 0, who are served at a sitting, in the
// order of the plan. A panel that is split over sittings must be seated by it:
// codes are unique within the sitting that the plan foresaw, not beyond.
func (p *Plan) Attending(sitting int) []int {
	var places []int
	for _, v := range p.Servings {
		if int(v.Sitting) != sitting {
			continue
		}
		if n := len(places); n == 0 || places[n-1] != int(v.Assessor) {
			places = append(places, int(v.Assessor))
		}
	}
	return places
}
