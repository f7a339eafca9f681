package design

import (
	"fmt"
	"slices"

	"cloche/internal/study"
)

// ExcludedCodes are the three-digit numbers that are never used as blinding
// codes, with the reason. Which numbers carry a ready meaning is common practice
// and judgement, without a source; the list may be longer than a given country
// needs.
var ExcludedCodes = excludedCodes()

// meanings are numbers that many people have met with a meaning of their own.
// From memory, not checked against national numbering plans.
var meanings = []struct {
	codes  []int
	reason string
}{
	{[]int{101, 105, 108, 110, 112, 113, 114, 115, 117, 118, 119, 120, 122, 190, 191, 192, 193, 911, 988, 995, 997,
		998},
		"an emergency or help number somewhere"},
	{[]int{187, 420, 666, 786}, "loaded with meaning: crime, drugs, faith"},
	{[]int{180, 360, 365, 404, 747}, "known from elsewhere: angles, days, an error, an aircraft"},
}

func excludedCodes() map[Code]string {
	x := map[Code]string{}
	for c := 100; c <= 999; c++ {
		a, b, d := c/100, c/10%10, c%10
		switch {
		case c%100 == 0:
			x[numbered(c)] = "a round hundred"
		case a == b && b == d:
			x[numbered(c)] = "one digit three times"
		case b == a+1 && d == b+1:
			x[numbered(c)] = "a rising run"
		case b == a-1 && d == b-1:
			x[numbered(c)] = "a falling run"
		}
	}
	for _, m := range meanings {
		for _, c := range m.codes {
			if _, ok := x[numbered(c)]; !ok {
				x[numbered(c)] = m.reason
			}
		}
	}
	return x
}

// allowedCodes are the codes of a sitting in rising order.
func allowedCodes() []Code {
	codes := make([]Code, 0, 900)
	for n := 100; n <= 999; n++ {
		if c := numbered(n); ExcludedCodes[c] == "" {
			codes = append(codes, c)
		}
	}
	return codes
}

// dealer deals the codes of one sitting: each at most once.
type dealer struct {
	codes []Code // dealt first, then what is left
	dealt int
}

func newDealer(seed uint64, sitting int32, allowed []Code) *dealer {
	d := &dealer{codes: append([]Code(nil), allowed...)}
	shuffle(newStream(seed, fmt.Sprintf("codes/%d", sitting)), d.codes)
	return d
}

// deal deals the next code that is none of met; "" when there is none left.
func (d *dealer) deal(met []Code) Code {
	for i := d.dealt; i < len(d.codes); i++ {
		if slices.Contains(met, d.codes[i]) {
			continue
		}
		d.codes[d.dealt], d.codes[i] = d.codes[i], d.codes[d.dealt]
		d.dealt++
		return d.codes[d.dealt-1]
	}
	return ""
}

// drawCodes gives every plate of p its blinding code and lays the spare codes
// of each sitting aside.
func drawCodes(s *study.Study, p *Plan) error {
	allowed := allowedCodes()
	needs := codesNeeded(s.Serving.Codes, p)
	for i, need := range needs {
		if need+s.Serving.SpareCodes > len(allowed) {
			return tooFewCodes(s, p, i, need, len(allowed))
		}
	}
	dealers := make([]*dealer, p.Sittings)
	for i := range dealers {
		dealers[i] = newDealer(p.Seed, int32(i+1), allowed)
	}
	deal := codesPerServing
	if s.Serving.Codes == study.CodePerSample {
		deal = codesPerSample
	}
	if err := deal(p, dealers); err != nil {
		return err
	}
	drawSpares(s, p, dealers)
	return nil
}

// plateSort is what shares one code when codes are drawn per sample: the n-th
// serving of a sample in one role at one sitting. An assessor never meets a code
// twice at a sitting, so a code never says that two servings are the same.
type plateSort struct {
	sitting, sample, nth int32
	role                 Role
}

// eachPlateSort calls f for every plate with what it shares its code with.
func eachPlateSort(p *Plan, f func(v *Serving, t plateSort)) {
	seen := map[plateSort]int32{}
	assessor := int32(-1)
	for i := range p.Servings {
		v := &p.Servings[i]
		if v.Assessor != assessor {
			clear(seen)
			assessor = v.Assessor
		}
		if v.Role == Expected {
			continue
		}
		t := plateSort{sitting: v.Sitting, sample: v.Sample, role: v.Role}
		seen[t]++
		sort := t
		sort.nth = seen[t]
		f(v, sort)
	}
}

// codesPerServing deals each plate a code that its assessor did not meet at an
// earlier sitting: whoever remembers a code would take it for the same sample.
func codesPerServing(p *Plan, dealers []*dealer) error {
	var met []Code // by the assessor at hand
	earlier, last := 0, Serving{Assessor: -1}
	for at := range p.Servings {
		v := &p.Servings[at]
		if v.Role == Expected {
			continue
		}
		if v.Assessor != last.Assessor {
			met, earlier = met[:0], 0
		} else if v.Sitting != last.Sitting {
			earlier = len(met)
		}
		last = *v
		d := dealers[v.Sitting-1]
		if v.Code = d.deal(met[:earlier]); v.Code == "" && !p.swapCode(at, met[:earlier], d) {
			return metAgain(p, v.Sitting)
		}
		met = append(met, v.Code)
	}
	return nil
}

// swapCode gives the serving at a place a code of somebody else at the sitting, who
// gets one of the last codes instead, when these are all known to the assessor. Not
// ok when nobody can swap.
func (p *Plan) swapCode(at int, met []Code, d *dealer) bool {
	v := &p.Servings[at]
	for i := range p.Servings[:at] {
		u := &p.Servings[i]
		if u.Sitting != v.Sitting || u.Role == Expected || u.Assessor == v.Assessor || slices.Contains(met, u.Code) {
			continue
		}
		if c := d.deal(p.codesOf(u.Assessor)); c != "" {
			v.Code, u.Code = u.Code, c
			return true
		}
	}
	return false
}

func (p *Plan) codesOf(assessor int32) []Code {
	var codes []Code
	for _, v := range p.Assessor(int(assessor)) {
		codes = append(codes, v.Code)
	}
	return codes
}

// metAgain refuses a sitting whose assessors would meet a code again: fewer of them leave codes
// that are new to each.
func metAgain(p *Plan, sitting int32) error {
	people := map[int32]bool{}
	for _, v := range p.Servings {
		if v.Sitting == sitting {
			people[v.Assessor] = true
		}
	}
	return &Conflict{Kind: ErrTooFewCodes,
		What:    study.Say("sitting %d has no code left that its assessors have not met at an earlier one", sitting),
		Instead: study.Say("write panel.seats: fewer than %d, so that fewer assessors share a sitting", len(people)),
		Field:   FieldSeats, Value: study.Say("fewer than %d", len(people))}
}

// dealtBefore refuses a sitting whose samples would get codes of an earlier one: each sitting
// takes new ones, so that fewer sittings take fewer.
func dealtBefore(p *Plan, sitting int32) error {
	return &Conflict{Kind: ErrTooFewCodes,
		What:    study.Say("sitting %d has no code left that its assessors have not met at an earlier one", sitting),
		Instead: study.Say("write panel.sittings: fewer than %d, or serving.codes: serving", p.Sittings),
		Field:   FieldSittings, Value: study.Say("fewer than %d", p.Sittings), Or: FieldCodes}
}

// codesPerSample deals one code to everybody's plates of one sort at a sitting, and
// no code again at another sitting.
func codesPerSample(p *Plan, dealers []*dealer) error {
	codes := map[plateSort]Code{}
	var dealt []Code
	var err error
	eachPlateSort(p, func(v *Serving, t plateSort) {
		c, ok := codes[t]
		if !ok {
			if c = dealers[v.Sitting-1].deal(dealt); c == "" {
				err = dealtBefore(p, v.Sitting)
			}
			codes[t] = c
			dealt = append(dealt, c)
		}
		v.Code = c
	})
	return err
}

// codesNeeded counts the codes that each sitting needs, spares aside.
func codesNeeded(policy study.CodePolicy, p *Plan) []int {
	needs := make([]int, p.Sittings)
	if policy == study.CodePerSample {
		seen := map[plateSort]bool{}
		eachPlateSort(p, func(v *Serving, t plateSort) {
			if !seen[t] {
				seen[t] = true
				needs[v.Sitting-1]++
			}
		})
		return needs
	}
	for _, v := range p.Servings {
		if v.Role != Expected {
			needs[v.Sitting-1]++
		}
	}
	return needs
}

// drawSpares takes the spare codes from streams of their own, out of what each
// dealer has left, so that their number changes nothing that is planned. Codes that
// no other sitting uses come first: they are new to everybody.
func drawSpares(s *study.Study, p *Plan, dealers []*dealer) {
	p.Spares = make([][]Code, p.Sittings)
	used := map[Code]bool{}
	for _, d := range dealers {
		for _, c := range d.codes[:d.dealt] {
			used[c] = true
		}
	}
	for i, d := range dealers {
		left := append([]Code(nil), d.codes[d.dealt:]...)
		shuffle(newStream(p.Seed, fmt.Sprintf("spare codes/%d", i+1)), left)
		slices.SortStableFunc(left, func(x, y Code) int {
			switch {
			case used[x] == used[y]:
				return 0
			case used[x]:
				return 1
			}
			return -1
		})
		p.Spares[i] = left[:s.Serving.SpareCodes:s.Serving.SpareCodes]
		for _, c := range p.Spares[i] {
			used[c] = true
		}
	}
}

func tooFewCodes(s *study.Study, p *Plan, sitting, need, have int) error {
	spares := s.Serving.SpareCodes
	what := study.Say("sitting %d needs %d blinding codes (%d servings and %d spare) but there are %d",
		sitting+1, need+spares, need, spares, have)
	fewerSpares := &Conflict{Kind: ErrTooFewCodes, What: what,
		Instead: study.Say("write a smaller serving.spare codes"),
		Field:   FieldSpares, Value: study.Say("a smaller number")}
	if s.Serving.Codes == study.CodePerSample {
		return fewerSpares
	}
	each, rounds := attendance(p)
	fit := (have - spares) / each
	if fit < 1 {
		return fewerSpares
	}
	sittings := (p.Assessors + fit - 1) / fit * rounds
	return &Conflict{Kind: ErrTooFewCodes,
		What:    study.Say("%s; %d assessors with %d servings each fit one sitting", what, fit, each),
		Instead: study.Say("write panel.sittings: %d, or serving.codes: sample", sittings),
		Field:   FieldSittings, Value: study.Say("%d", sittings), Or: FieldCodes}
}

// attendance returns the most plates that an assessor gets at one sitting, and
// the most sittings that one attends.
func attendance(p *Plan) (plates, sittings int) {
	assessor, sitting, attended, here := int32(-1), int32(0), 0, 0
	for _, v := range p.Servings {
		if v.Role == Expected {
			continue
		}
		if v.Assessor != assessor {
			assessor, sitting, attended = v.Assessor, 0, 0
		}
		if v.Sitting != sitting {
			sitting, here = v.Sitting, 0
			attended++
		}
		here++
		plates, sittings = max(plates, here), max(sittings, attended)
	}
	return plates, sittings
}
