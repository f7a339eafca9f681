package design

import "cloche/internal/study"

// EngineVersion is the version of the engine that [Draw] uses unless told
// otherwise. A change that alters any plan is a new version.
const EngineVersion = 3

// engines draw plans, by version. A version that was released stays, so that old
// plans can be redrawn; versions 1 and 2 never were.
var engines = map[int]func(*study.Study, Options) (*Plan, error){
	3: drawV3,
}

// Draw draws the serving plan of a study: the same study, options and engine
// give the same plan byte for byte on every platform. The study is taken to be
// valid in itself. Errors are of type [*Conflict]: ErrConflict when demands of
// the study cannot all be met, ErrTooFewCodes when a sitting is too large,
// ErrUnknownEngine.
func Draw(s *study.Study, o Options) (*Plan, error) {
	if o.Engine == 0 {
		o.Engine = EngineVersion
	}
	engine, ok := engines[o.Engine]
	if !ok {
		return nil, unknownEngine(o.Engine)
	}
	p, err := engine(s, o)
	if err != nil {
		return nil, err
	}
	p.Warnings = append(p.Warnings, fewPlans(s, p)...)
	return p, nil
}

func unknownEngine(version int) error {
	return &Conflict{Kind: ErrUnknownEngine, What: study.Say(
		"the plan was drawn by engine version %d and this program has version %d", version, EngineVersion),
		Instead: study.Say("use a newer release of the program")}
}

func drawV3(s *study.Study, o Options) (*Plan, error) {
	c, err := newScheme(s, o)
	if err == nil {
		err = c.splitPanel()
	}
	if err == nil && o.OnArrival {
		err = canDealOnArrival(s)
	}
	if err != nil {
		return nil, err
	}
	p := &Plan{
		Engine:    3,
		Seed:      o.Seed,
		Samples:   c.samples,
		Assessors: c.n,
		Sittings:  c.groups * len(c.rounds),
		Stratum:   c.strata.of,
	}
	orders := newGrid(c.n, c.orders.width())
	c.orders.draw(newStream(o.Seed, ordersStream), orders)
	read := grid{}
	if c.names != nil {
		read = newGrid(c.n, c.names.width())
		c.names.draw(newStream(o.Seed, "names"), read)
	}
	c.serve(p, orders, read, asked(s, c.n, newStream(o.Seed, "asked")))
	if o.OnArrival {
		p.takeBackOrders()
	}
	if err := drawCodes(s, p); err != nil {
		return nil, err
	}
	p.Warnings = c.warnings(p)
	return p, nil
}

// serve lays the drawn orders out as servings, with names to read for those who are asked.
func (c *scheme) serve(p *Plan, orders, read grid, asked []bool) {
	each := orders.width + read.width + len(c.rounds)*c.extra()
	p.Servings = make([]Serving, 0, c.n*each)
	var buffer []int32
	for i := range c.n {
		row := orders.row(i)
		at := place{assessor: int32(i), group: c.group(i)}
		if c.names != nil && asked[i] {
			buffer = c.names.read(buffer[:0], read.row(i), row)
			for _, x := range buffer {
				at.turn++
				p.Servings = append(p.Servings,
					Serving{Assessor: at.assessor, Sitting: c.sitting(at), Turn: at.turn, Sample: x, Role: Expected})
			}
		}
		for at.round = range c.rounds {
			p.Servings = c.serveRound(p.Servings, &at, row)
		}
	}
}

// place is how far the layout of an assessor's servings has come.
type place struct {
	assessor int32
	group    int
	round    int
	turn     int32 // the last
	position int32 // of the last rated serving
}

// sitting numbers sittings so that every group has had its first before any has
// its second.
func (c *scheme) sitting(at place) int32 { return int32(at.round*c.groups + at.group + 1) }

// serveRound appends what one assessor gets at one sitting.
func (c *scheme) serveRound(to []Serving, at *place, row []int32) []Serving {
	v := Serving{Assessor: at.assessor, Sitting: c.sitting(*at)}
	columns := c.rounds[at.round]
	if emptyCells(row[columns[0]:columns[1]]) {
		return to
	}
	if c.warmUp != none {
		at.turn++
		v.Turn, v.Sample, v.Role = at.turn, c.warmUp, WarmUp
		to = append(to, v)
	}
	if c.reference != none {
		at.turn++
		v.Turn, v.Sample, v.Role = at.turn, c.reference, Reference
		to = append(to, v)
	}
	for j := columns[0]; j < columns[1]; j++ {
		if row[j] == none {
			continue
		}
		first := j%c.unit == 0
		if first {
			at.turn++
		}
		v.Turn, v.Sample, v.Role, v.Position = at.turn, row[j], Rated, 0
		if c.lead && first {
			v.Role = Reference
		} else {
			at.position++
			v.Position = at.position
		}
		to = append(to, v)
	}
	return to
}

func emptyCells(row []int32) bool {
	for _, x := range row {
		if x != none {
			return false
		}
	}
	return true
}
