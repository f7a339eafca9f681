package analysis_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// wide is a panel of n assessors, k samples and m attributes on lines.
func wide(n, k, m int) (*study.Study, []analysis.Rating) {
	s := panelOf(k)
	base := s.Attributes[0]
	for j := 1; j < m; j++ {
		a := base
		a.ID = study.AttributeID(fmt.Sprintf("a%d", j))
		s.Attributes = append(s.Attributes, a)
	}
	random := rand.New(rand.NewPCG(1, 2))
	var ratings []analysis.Rating
	for i := range n {
		for p, x := range random.Perm(k) {
			for _, a := range s.Attributes {
				ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i), Position: p + 1,
					Sample: s.Samples[x].ID, Attribute: a.ID, Value: float64(random.IntN(101))})
			}
		}
	}
	return s, ratings
}

// From 50 assessors to 1600 the cost of six samples on ten attributes stays near linear:
// nothing that is counted exactly grows faster than that.
func BenchmarkAnalyse(b *testing.B) {
	for _, size := range [][3]int{{40, 2, 4}, {60, 4, 6}, {50, 6, 10}, {100, 6, 10}, {200, 6, 10}, {400, 6, 10},
		{800, 6, 10}, {1600, 6, 10}} {
		s, ratings := wide(size[0], size[1], size[2])
		b.Run(fmt.Sprintf("assessors=%d/samples=%d/attributes=%d", size[0], size[1], size[2]), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
