package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// aboutRightWire is what answers about right have. There is no mean of them.
type aboutRightWire struct {
	Liking  study.AttributeID `json:"liking"` // what they are held against
	Samples []rightSampleWire `json:"samples"`
	Moves   []rightMoveWire   `json:"moves"`
}

type rightSampleWire struct {
	Sample  study.SampleID `json:"sample"`
	N       int            `json:"n"`
	Counts  []int          `json:"counts"` // by answer, from the first label on
	Right   int            `json:"about_right"`
	TooLow  rightSideWire  `json:"too_little"`
	TooHigh rightSideWire  `json:"too_much"`
}

// rightSideWire is what those who said too little, or too much, have in common.
type rightSideWire struct {
	People   int                  `json:"n"`
	Share    value                `json:"share"` // of all who said something
	ShareCI  [2]value             `json:"share_ci"`
	Few      bool                 `json:"few"` // too few to act on, by the usual rule
	Liked    int                  `json:"n_liking"`
	Drop     value                `json:"drop"` // in liking
	DropCI   [2]value             `json:"drop_ci"`
	Adjusted [2]value             `json:"drop_ci_adjusted"`
	Same     [2]value             `json:"drop_ci_equivalence"`
	Weighted value                `json:"weighted"` // drop times share
	WeightCI [2]value             `json:"weighted_ci"`
	Test     testWire             `json:"test"`
	Verdict  analysis.VerdictCode `json:"verdict"`
}

// rightMoveWire is how the same people answered to two samples.
type rightMoveWire struct {
	Comparison [2]study.SampleID `json:"comparison"`
	N          int               `json:"n"`
	Table      [3][3]int         `json:"table"` // people by their side of the first, then of the second
	Moved      int               `json:"moved"`
	Test       testWire          `json:"test"`
}

func aboutRightToWire(f analysis.Finding) *aboutRightWire {
	w := &aboutRightWire{Liking: f.AboutRight.Liking, Samples: []rightSampleWire{}, Moves: []rightMoveWire{}}
	for _, x := range f.AboutRight.Samples {
		w.Samples = append(w.Samples, rightSampleWire{x.Sample, x.N, x.Counts, x.Sides[study.JustRight],
			rightSideToWire(x.Sides[study.TooLittle], x.Low), rightSideToWire(x.Sides[study.TooMuch], x.High)})
	}
	for _, m := range f.AboutRight.Moves {
		w.Moves = append(w.Moves, rightMoveWire{[2]study.SampleID{m.First, m.Second}, m.N, m.Table, m.Moved(),
			testToWire(m.Test)})
	}
	return w
}

func rightSideToWire(n int, x analysis.RightSide) rightSideWire {
	return rightSideWire{n, value(x.Share), ends(x.ShareCI), x.Few(), x.People, value(x.Drop.Value), ends(x.Drop.CI),
		ends(x.Adjusted), ends(x.SameCI), value(x.Weighted.Value), ends(x.Weighted.CI), testToWire(x.Test), x.Verdict}
}
