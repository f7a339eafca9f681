package report

import (
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestFlowAddsUp: of random evenings, those who took a place went one of four ways, no
// station has more people than the one before it, and the last is who is in the findings.
func TestFlowAddsUp(t *testing.T) {
	draw := rand.New(rand.NewPCG(16, 4))
	for range 1000 {
		why := panel.WhyCounts{draw.IntN(3), draw.IntN(3), draw.IntN(3), draw.IntN(3)}
		f := Flow{SaidNo: why.Said() + draw.IntN(5), WhyNot: why, Finished: draw.IntN(40),
			Left: draw.IntN(3), Withdrawn: draw.IntN(3),
			Stopped: draw.IntN(3)}
		f.Seated = f.Finished + f.Left + f.Withdrawn + f.Stopped
		f.Places = f.Seated + draw.IntN(4)
		screened, one := draw.IntN(f.Finished+1), draw.IntN(3)
		r := &analysis.Result{Assessors: f.Finished - screened, Excluded: []analysis.Exclusion{
			{Reason: analysis.ReasonWithdrawn, Count: f.Withdrawn}, {Reason: analysis.ReasonOneOnly, Count: one},
			{Reason: "said yes to the screening question “cold”", Count: screened}}}
		steps := FlowSteps(&f, r)
		if len(steps) != 4 || steps[0].N != f.Places || steps[3].N != r.Assessors {
			t.Fatalf("%+v gives %+v", f, steps)
		}
		if no := sum(steps[0].Aside) - max(0, f.Places-f.Seated); no != f.SaidNo {
			t.Errorf("%d said no, and %d stand in the flow: %+v", f.SaidNo, no, steps)
		}
		if got := sum(steps[1].Aside); got != steps[1].N {
			t.Errorf("%d took a place and %d went on: %+v", steps[1].N, got, steps)
		}
		if got := steps[2].N - steps[3].N; got != screened {
			t.Errorf("%d answered and are not in the findings, %d were left out", got, screened)
		}
		for i := 1; i < len(steps); i++ {
			if steps[i].N > steps[i-1].N {
				t.Errorf("station %d has more than the one before: %+v", i+1, steps)
			}
		}
	}
	if FlowSteps(nil, &analysis.Result{Assessors: 3}) != nil {
		t.Error("ratings from paper have a flow")
	}
}

func sum(all []FlowAside) (n int) {
	for _, x := range all {
		n += x.N
	}
	return n
}
