package analysis

import (
	"math"
	"slices"

	"cloche/internal/study"
)

// SizedLooking is how a plan looks before its end. The zero value is that it does not.
type SizedLooking struct {
	Looks    []int // people
	Spending study.Spending
	Evidence study.Evidence
	At       float64 // mean over standard deviation for which evidence grows best
	Most     int     // people that the plan takes, where these are fewer than the panel; 0 = all
}

// LookingAhead is what a plan that looks early comes to, by simulating its studies.
type LookingAhead struct {
	Assessors, Studies int
	Looks              []int // people; none where evidence is counted
	Rows               []LookingRow
	// Needed is by how many people as large a share of studies as the power wished for have had enough
	// evidence, when the difference is the one looked for; 0 = more than are simulated, or looks.
	Needed int
}

// LookingRow is what comes when the difference is so large.
type LookingRow struct {
	Difference float64   // scale points
	Found      float64   // share of studies, early or at the end
	Early      float64   // share that stop before everybody has tasted
	People     float64   // on average
	AtLook     []float64 // share that stop at each look
}

// How many studies are simulated, how many people in all of them together, and how many times the panel of
// one test at the end they go on for while there is too little evidence.
const (
	lookingStudies = 10_000
	lookingPeople  = 400_000
	lookingOn      = 6
	mostLooking    = 3_000
)

// looking simulates the panel planned: without a difference, with half of that looked for, and with it.
func (z *Size) looking() {
	q := z.Request
	n := q.Assessors
	if q.Looking.Most > 0 {
		n = min(n, q.Looking.Most)
	}
	if len(q.Looking.Looks) == 0 && q.Looking.Evidence == "" || q.Test != SizedTest(study.PairedT) ||
		!q.possible() || n < study.FewestForEvidence || n > mostLooking {
		return
	}
	w := &LookingAhead{Assessors: n, Studies: max(200, min(lookingStudies, lookingPeople/n)), Looks: q.Looking.Looks}
	for _, difference := range []float64{0, q.Difference / 2, q.Difference} {
		row, err := q.lookingRow(w, difference)
		if err != nil {
			return // a plan that cannot be locked says why itself
		}
		w.Rows = append(w.Rows, row)
	}
	if q.Looking.Evidence != "" {
		w.Needed = q.neededEvidence(min(mostLooking, lookingOn*max(n, z.Needed.Assessors)), w.Studies)
	}
	z.Looking = w
}

// lookingRow simulates studies of people whose differences are normal.
func (q Sizing) lookingRow(w *LookingAhead, difference float64) (row LookingRow, err error) {
	row.Difference = difference
	if q.Looking.Evidence != "" {
		for _, stopped := range q.stopsOfEvidence(difference, w.Assessors, w.Studies) {
			row.add(stopped > 0, stopped > 0 && stopped < w.Assessors, nonzero(stopped, w.Assessors))
		}
		return row.shared(w.Studies), nil
	}
	s := &study.Study{Plan: study.AnalysisPlan{Looks: w.Looks, Spending: q.Looking.Spending, Alpha: q.Alpha}}
	s.Panel.Assessors = w.Assessors
	planned, err := PlannedLooks(s)
	if err != nil {
		return row, err
	}
	row.AtLook = make([]float64, len(planned))
	random := newStream(uint64(w.Assessors), "looks")
	for range w.Studies {
		sum, squares, people := 0.0, 0.0, 0
		for k, l := range planned {
			for ; people < l.People; people++ {
				d := difference + q.Spread.SD*random.NormFloat64()
				sum, squares = sum+d, squares+d*d
			}
			n := float64(people)
			mean := sum / n
			t := mean / math.Sqrt((squares-n*mean*mean)/(n-1)/n)
			reached, last := math.Abs(t) >= l.Critical, k == len(planned)-1
			if reached || last {
				row.AtLook[k]++
				row.add(reached, !last, people)
				break
			}
		}
	}
	for k := range row.AtLook {
		row.AtLook[k] /= float64(w.Studies)
	}
	return row.shared(w.Studies), nil
}

func (r *LookingRow) add(found, early bool, people int) {
	r.Found += float64(boolToInt(found))
	r.Early += float64(boolToInt(early))
	r.People += float64(people)
}

func (r LookingRow) shared(studies int) LookingRow {
	n := float64(studies)
	r.Found, r.Early, r.People = r.Found/n, r.Early/n, r.People/n
	return r
}

func nonzero(n, otherwise int) int {
	if n > 0 {
		return n
	}
	return otherwise
}

// stopsOfEvidence are the people after whom there was enough evidence in each simulated study; 0 = never.
func (q Sizing) stopsOfEvidence(difference float64, most, studies int) (stops []int) {
	e := EvidencePart{By: q.Looking.Evidence, At: q.Looking.At, Alpha: q.Alpha, Range: q.Length}
	random := newStream(uint64(studies), "evidence")
	held := func(d float64) float64 { // no difference is longer than the scale
		if q.Length > 0 {
			return max(-q.Length, min(q.Length, d))
		}
		return d
	}
	for range studies {
		c, err := e.newCounter(q.Alpha)
		if err != nil {
			return nil
		}
		stopped := 0
		for n := 1; n <= most; n++ {
			d := held(difference + q.Spread.SD*random.NormFloat64())
			if c.grow(e.By, d) != nil {
				return nil
			}
			if log, _ := c.logE(e.By); n >= study.FewestForEvidence && log >= e.Enough() {
				stopped = n
				break
			}
		}
		stops = append(stops, stopped)
	}
	return stops
}

// grow counts one difference by the way that decides alone.
func (c counter) grow(by study.Evidence, d float64) error {
	if by == study.ByBetting {
		return c.betting.Add(d)
	}
	return c.mixture.Add(d)
}

// neededEvidence is by how many people the power wished for of all studies have stopped; 0 = more than most.
func (q Sizing) neededEvidence(most, studies int) int {
	studies = max(200, min(studies, 2*lookingPeople/most))
	stops := q.stopsOfEvidence(q.Difference, most, studies)
	for i, n := range stops {
		if n == 0 {
			stops[i] = math.MaxInt
		}
	}
	slices.Sort(stops)
	at := int(math.Ceil(q.Power*float64(studies))) - 1
	if at < 0 || at >= len(stops) || stops[at] == math.MaxInt {
		return 0
	}
	return stops[at]
}

// Words say what the plan comes to when the difference is the one looked for, beyond the table.
func (w LookingAhead) Words(q Sizing) study.Said {
	difference := pointsWord(q.Difference)
	switch {
	case len(w.Looks) > 0:
		row := w.Rows[len(w.Rows)-1]
		stops := study.Say("in %s after %d people", InPercent(row.AtLook[0]), w.Looks[0])
		for k, n := range w.Looks[1:] {
			stops = study.Say("%s, %s", stops, study.Say("in %s after %d people", InPercent(row.AtLook[k+1]), n))
		}
		return study.Say("If the difference is %s, tasting stops %s; else all %d taste.", difference, stops,
			w.Assessors)
	case w.Needed == 0:
		return study.Say("If the difference is %s, it takes more people than were simulated to have enough "+
			"evidence with a chance of %s.", difference, InPercent(q.Power))
	}
	return study.Say("If the difference is %s, %s have enough evidence by %d people: plan for so many at the most.",
		difference, InPercent(q.Power), w.Needed)
}

// Rests says what the table rests on.
func (w LookingAhead) Rests() study.Said {
	looks := study.Say("looked at after every person")
	if len(w.Looks) > 0 {
		looks = study.Say("with looks at as many people as planned")
	}
	return study.Say("By %d simulated studies of differences that are near normal, %s. Power and sizes elsewhere "+
		"on this page are those of one test at the end; portions and minutes those of all that are planned.",
		w.Studies,
		looks)
}
