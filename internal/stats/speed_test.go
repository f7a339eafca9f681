package stats_test

import (
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

// BenchmarkWholeAnalysis compares all pairs of 6 samples rated by 200
// assessors on 10 attributes: paired t, exact signed rank, d_z with its
// noncentral-t interval, Holm within each attribute.
func BenchmarkWholeAnalysis(b *testing.B) {
	attributes := make([][][]float64, 10)
	for a := range attributes {
		attributes[a] = statstest.RatingsOf(uint64(20+a), 200, 5, 5.2, 5.4, 5.6, 5.8, 6)
	}
	b.Run("assessors=200/samples=6/attributes=10", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			numeric.InParallel(len(attributes), func(a int) {
				var p []float64
				s := attributes[a]
				for i := range s {
					for j := i + 1; j < len(s); j++ {
						t, err := ttest.Paired(s[i], s[j], ttest.PairedOptions{})
						if err != nil {
							b.Error(err)
						}
						if _, err := ranks.SignedRank(s[i], s[j], ranks.SignedRankOptions{}); err != nil {
							b.Error(err)
						}
						if _, err := effect.CohenDz(s[i], s[j], 0.95); err != nil {
							b.Error(err)
						}
						p = append(p, t.P)
					}
				}
				stats.Holm(p)
			})
		}
	})
}
