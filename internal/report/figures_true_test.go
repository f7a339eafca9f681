package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/web"
)

// series is one of a figure's option.
type series struct {
	Name      string
	Symbol    string
	Data      []struct{ Value [2]float64 }
	LineStyle struct{ Width, Opacity float64 }
	ItemStyle struct{ Color string }
}

// axis is one of a figure's option.
type axis struct {
	Type     string
	Min, Max float64
	Data     []string
}

type option struct {
	XAxis, YAxis []axis
	Series       []series
}

func optionOf(t rapid.TB, f report.Figure) option {
	t.Helper()
	var o option
	if err := json.Unmarshal([]byte(f.Option), &o); err != nil {
		t.Fatal(err)
	}
	return o
}

// named are the points of the series of one name.
func (o option) named(name string) (points [][2]float64) {
	for _, s := range o.Series {
		if s.Name == name {
			for _, d := range s.Data {
				points = append(points, d.Value)
			}
		}
	}
	return points
}

func (a axis) holds(v float64) bool {
	if a.Type == "category" {
		return v >= 0 && v <= float64(len(a.Data)-1) && v == math.Trunc(v)
	}
	return v >= a.Min && v <= a.Max
}

// drawnCase is a study with random ratings and what its report draws.
type drawnCase struct {
	s    *study.Study
	r    *analysis.Result
	page report.Page
}

func (c drawnCase) figure(id string) (report.Figure, bool) {
	i := slices.IndexFunc(c.page.Figures, func(f report.Figure) bool { return f.ID == id })
	if i < 0 {
		return report.Figure{}, false
	}
	return c.page.Figures[i], true
}

var scalesDrawn = []study.Scale{
	{Kind: study.Line, Low: "not", High: "very"},
	{Kind: study.Line, Low: "not", High: "very", From: -5, To: 5},
	{Kind: study.Line, Low: "not", High: "very", From: 0, To: 0.7},
	{Kind: study.Hedonic9, Labels: study.Hedonic9Labels[:]},
	{Kind: study.Categories, Labels: []string{"no", "some", "much"}},
}

// randomCase rates two attributes by up to 60 people: mostly at random, some on the
// ends of the scale, sometimes all the same.
func randomCase(t testing.TB, seed uint64) drawnCase {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 1))
	s := panelOf(2)
	s.Attributes = append(s.Attributes, study.Attribute{ID: "sweet", Ask: "How sweet is it?"})
	for i := range s.Attributes {
		s.Attributes[i].Scale = scalesDrawn[random.IntN(len(scalesDrawn))]
	}
	lo, hi := s.Attributes[0].Scale.Min(), s.Attributes[0].Scale.Max()
	s.Plan.SmallestEffect = []float64{0, (hi - lo) / 10, 1, hi - lo}[random.IntN(4)]
	s.Plan.Test = []study.Test{study.PairedT, study.SignedRank}[random.IntN(2)]
	s.Plan.Sides = []study.Sides{study.TwoSided, study.Greater, study.Less}[random.IntN(3)]
	n := 1 + random.IntN(60)
	kind := random.IntN(4)
	var ratings []analysis.Rating
	for i := range n {
		for k, a := range s.Attributes {
			if k > 0 && random.IntN(3) == 0 { // not everybody answers everything
				continue
			}
			for j, x := range s.Samples {
				ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 1 + (i+j)%2,
					Sample:    x.ID,
					Attribute: a.ID, Value: randomRating(random, a.Scale, kind, j)})
			}
		}
	}
	r := analyse(t, s, ratings)
	return drawnCase{s, r, report.Build(s, r, report.Options{})}
}

func randomRating(random *rand.Rand, scale study.Scale, kind, sample int) float64 {
	lo, hi := scale.Min(), scale.Max()
	v := lo + (hi-lo)*random.Float64()
	switch {
	case kind == 0 && random.IntN(2) == 0: // the ends
		v = []float64{lo, hi}[random.IntN(2)]
	case kind == 1: // everybody from one end to the other
		v = []float64{lo, hi}[sample]
	case kind == 2: // few answers, each given often
		v = lo + (hi-lo)*float64(random.IntN(3))/2
	}
	if scale.Kind != study.Line {
		return math.Round(v)
	}
	return math.Round(v*100) / 100
}

const randomStudies = 150

// TestFiguresDrawEverybodyAtTheirValue: as many marks as people, each where its
// numbers say, and all of it within the axes.
func TestFiguresDrawEverybodyAtTheirValue(t *testing.T) {
	for seed := range uint64(randomStudies) {
		c := randomCase(t, seed)
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			for _, f := range c.page.Figures {
				o := optionOf(t, f)
				for _, s := range o.Series {
					for _, d := range s.Data {
						if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
							t.Errorf("%s: %s at %v lies beyond its axes, %v and %v", f.ID, s.Name, d.Value, o.XAxis[0],
								o.YAxis[0])
						}
					}
				}
			}
			c.checkDifferences(t)
			c.checkPairs(t)
			c.checkOverview(t)
		})
	}
}

func (c drawnCase) checkDifferences(t *testing.T) {
	t.Helper()
	f, ok := c.figure("differences")
	if !ok {
		t.Fatal("no figure of differences")
	}
	finding, o := c.r.Findings[0], optionOf(t, f)
	var want, got []float64
	for _, p := range finding.Pair.Each {
		want = append(want, p.First-p.Second)
	}
	seen := map[[2]float64]bool{}
	for _, side := range []struct {
		name string
		sign float64
		n    int
	}{{"down", -1, finding.Pair.Moved.Down}, {"same", 0, finding.Pair.Moved.Same}, {"up", 1, finding.Pair.Moved.Up}} {
		dots := o.named(side.name)
		if len(dots) != side.n {
			t.Errorf("%d dots for %d people who went %s", len(dots), side.n, side.name)
		}
		for _, d := range dots {
			got = append(got, d[0])
			if seen[d] || d[0]*side.sign < 0 || (side.sign == 0) != (d[0] == 0) {
				t.Errorf("the dot %v of somebody who went %s is hidden, or on the wrong side of 0", d, side.name)
			}
			seen[d] = true
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("dots at %v, want %v", got, want)
	}
	if n := len(finding.Pair.Each); !strings.Contains(f.Alt, fmt.Sprintf("A dot for each of %d p", n)) {
		t.Errorf("the words for %d people: %s", n, f.Alt)
	}
	if at := o.named("estimate"); len(at) != 1 || at[0][0] != finding.Value {
		t.Errorf("the difference stands at %v, want %g", at, finding.Value)
	}
	if ends := o.named("interval"); !finding.CI.Absent() &&
		(len(ends) != 2 || ends[0][0] != finding.CI.Lo || ends[1][0] != finding.CI.Hi) {
		t.Errorf("the interval reaches over %v, want %v", ends, finding.CI)
	}
	if drawn, said := !finding.CI.Absent(), strings.Contains(fmt.Sprint(f.Legend), "interval"); drawn != said {
		t.Errorf("an interval is drawn: %t; the legend has one: %t", drawn, said)
	}
	var margins []float64
	for _, p := range o.named("smallest worth acting on") {
		margins = append(margins, math.Abs(p[0]))
	}
	for _, m := range margins {
		if m != c.s.Plan.SmallestEffect {
			t.Errorf("the margin stands at %g, want %g", m, c.s.Plan.SmallestEffect)
		}
	}
}

// checkPairs: lines that several people share are as many times wider.
func (c drawnCase) checkPairs(t *testing.T) {
	t.Helper()
	f, ok := c.figure("pairs")
	if !ok {
		t.Fatal("no figure of pairs")
	}
	people := map[[2]float64]int{}
	most := 0
	for _, p := range c.r.Findings[0].Pair.Each {
		people[[2]float64{p.Second, p.First}]++
		most = max(most, people[[2]float64{p.Second, p.First}])
	}
	width := map[int]float64{}
	for _, s := range optionOf(t, f).Series {
		if s.Name != "" {
			continue
		}
		k := [2]float64{s.Data[0].Value[1], s.Data[1].Value[1]}
		n := people[k]
		if delete(people, k); n == 0 {
			t.Errorf("a line from %g to %g that nobody gave", k[0], k[1])
		}
		if w, known := width[n]; known && w != s.LineStyle.Width {
			t.Errorf("lines of %d people are %g and %g wide", n, w, s.LineStyle.Width)
		}
		width[n] = s.LineStyle.Width
	}
	for n, w := range width {
		for m, v := range width {
			if n < m && w >= v {
				t.Errorf("a line of %d people is %g wide, one of %d is %g", n, w, m, v)
			}
		}
	}
	if len(people) > 0 {
		t.Errorf("no line for %v", people)
	}
	if said := strings.Contains(f.Caption, fmt.Sprintf("share a line; the more they are, the wider it is (up to %d)",
		most)); said != (most > 1) {
		t.Errorf("at most %d people share a line: %s", most, f.Caption)
	}
	if len(f.Data.Rows) != len(c.r.Findings[0].Pair.Each)+1 {
		t.Errorf("%d rows, want one for each person and the mean", len(f.Data.Rows))
	}
	checkMoved(t, f, c.r.Findings[0])
}

// checkMoved holds that those who went up, down and nowhere are everybody.
func checkMoved(t *testing.T, f report.Figure, finding analysis.Finding) {
	t.Helper()
	var up, down, same, n int
	if _, err := fmt.Sscanf(f.Alt[strings.Index(f.Alt, ". ")+2:],
		"Lines that rise: %d, that fall: %d, that stay level: %d.", &up, &down, &same); err != nil {
		t.Fatalf("%v: %s", err, f.Alt)
	}
	if _, err := fmt.Sscanf(f.Alt, "Each of %d", &n); err != nil {
		t.Fatalf("%v: %s", err, f.Alt)
	}
	if up+down+same != n || n != len(finding.Pair.Each) {
		t.Errorf("%d up, %d down, %d the same of %d: %s", up, down, same, len(finding.Pair.Each), f.Alt)
	}
}

func (c drawnCase) checkOverview(t *testing.T) {
	t.Helper()
	f, ok := c.figure("overview")
	if !ok {
		t.Fatal("two questions were asked, and no figure has both")
	}
	o := optionOf(t, f)
	if len(o.YAxis[0].Data) != 2 || len(f.Data.Rows) != 2 {
		t.Fatalf("rows for %v, and %d in the table", o.YAxis[0].Data, len(f.Data.Rows))
	}
	for i, finding := range c.r.Findings {
		a, _ := c.s.Attribute(finding.Attribute)
		unit := 100 / (a.Scale.Max() - a.Scale.Min())
		var marks, ends [][2]float64
		for _, s := range o.Series {
			for _, d := range s.Data {
				switch {
				case s.Name != a.Ask:
				case s.Symbol == "diamond":
					marks = append(marks, d.Value)
				default:
					ends = append(ends, d.Value)
				}
			}
		}
		y := float64(1 - i)
		var want, wantEnds [][2]float64
		if !math.IsNaN(finding.Value) {
			want = [][2]float64{{unit * finding.Value, y}}
		}
		if !finding.CI.Absent() {
			wantEnds = [][2]float64{{unit * finding.CI.Lo, y}, {unit * finding.CI.Hi, y}}
		}
		if !slices.Equal(marks, want) || !slices.Equal(ends, wantEnds) {
			t.Errorf("%s: marks %v and interval %v, want %v and %v", a.ID, marks, ends, want, wantEnds)
		}
		if bare := len(wantEnds) == 0; bare != (strings.Contains(f.Caption, "“"+a.Ask+"”") &&
			strings.Contains(f.Alt, "“"+a.Ask+"”")) {
			t.Errorf("%s: without an interval: %t; the figure says %s", a.ID, bare, f.Caption)
		}
	}
}

// TestBalanceFigureDrawsEveryCount: the staircase stands at the count after each
// number of assessors, or at the worst of those that share a step.
func TestBalanceFigureDrawsEveryCount(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	for range 60 {
		n := 1 + random.IntN(900)
		counts := func() (c []int) {
			for range n {
				c = append(c, random.IntN(6))
			}
			return c
		}
		p := design.PrefixBalance{Served: counts(), Positions: counts(), Following: counts()}
		p.WorstServed, p.WorstPosition, p.WorstPair = slices.Max(p.Served), slices.Max(p.Positions),
			slices.Max(p.Following)
		f := report.BalanceFigure(&design.Balance{Assessors: n, Prefix: p}, report.English)
		o := optionOf(t, f)
		shared := 1
		_, _ = fmt.Sscanf(f.Caption, "The largest count less the smallest, at its worst within every %d assessors",
			&shared)
		for i, counts := range [][]int{p.Served, p.Positions, p.Following} {
			line := o.Series[i]
			for from := 0; from < n; from += shared {
				to := min(from+shared, n)
				step := line.Data[1+2*(from/shared):][:2]
				want := float64(slices.Max(counts[from:to]))
				if step[0].Value != [2]float64{float64(from), want} || step[1].Value != [2]float64{float64(to), want} {
					t.Fatalf("%s after %d to %d of %d: %v, want %g", line.Name, from+1, to, n, step, want)
				}
			}
		}
		if o.XAxis[0].Max != float64(n) || o.YAxis[0].Max < float64(max(p.WorstServed, p.WorstPosition, p.WorstPair)) {
			t.Errorf("axes end at %g and %g", o.XAxis[0].Max, o.YAxis[0].Max)
		}
	}
}

// TestDrawingLibraryLeavesNobodyOut draws the figures as a browser does and counts.
func TestDrawingLibraryLeavesNobodyOut(t *testing.T) {
	if !web.FiguresBuilt() {
		skip(t, "the figure script is not built: run npm --prefix web ci")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		skip(t, "Node is not installed")
	}
	type job struct {
		Option json.RawMessage `json:"option"`
		Width  int             `json:"width"`
		Height int             `json:"height"`
	}
	var jobs []job
	var names []string
	for seed := range uint64(14) {
		for _, f := range randomCase(t, seed).page.Figures {
			width := []int{260, 900}[seed%2]
			jobs = append(jobs, job{json.RawMessage(f.Option), width, f.Height})
			names = append(names, fmt.Sprintf("%s of %d, %d wide", f.ID, seed, width))
		}
	}
	in, err := json.Marshal(jobs)
	if err != nil {
		t.Fatal(err)
	}
	draw := exec.Command(node, "testdata/draw.js", "../../web/static/built/figures.js")
	draw.Stdin, draw.Stderr = bytes.NewReader(in), os.Stderr
	out, err := draw.Output()
	if err != nil {
		t.Fatal(err)
	}
	var drawn []struct {
		Lines  int
		Series []struct {
			Drawn []*[2]float64
			Meant [][2]float64
		}
	}
	if err := json.Unmarshal(out, &drawn); err != nil {
		t.Fatal(err)
	}
	if len(drawn) != len(jobs) || len(jobs) < 3*14 {
		t.Fatalf("%d of %d figures were drawn", len(drawn), len(jobs))
	}
	for i, f := range drawn {
		var o option
		if err := json.Unmarshal(jobs[i].Option, &o); err != nil {
			t.Fatal(err)
		}
		for k, s := range o.Series {
			if s.Symbol == "none" {
				continue
			}
			for j, at := range f.Series[k].Drawn {
				if meant := f.Series[k].Meant[j]; at == nil || math.Abs(at[0]-meant[0]) > 0.02 ||
					math.Abs(at[1]-meant[1]) > 0.02 {
					t.Errorf("%s: mark %d of %q is drawn at %v, want %v", names[i], j, s.Name, at, meant)
				}
			}
		}
		if f.Lines < len(o.Series)-emptySeries(o) {
			t.Errorf("%s: %d lines for %d series", names[i], f.Lines, len(o.Series))
		}
	}
}

func emptySeries(o option) (n int) {
	for _, s := range o.Series {
		if len(s.Data) == 0 {
			n++
		}
	}
	return n
}
