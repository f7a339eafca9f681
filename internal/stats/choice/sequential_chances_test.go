package choice_test

import (
	"math"
	"testing"

	"cloche/internal/stats/choice"
)

// Values computed in R 4.2.2 by counting paths and once more in plain Python
// (reference-next.json, entries sprt.paired_iso16820, sprt.triangle_pd40, sprt.triangle_pd30:
// the lines of Wald 1947, as ISO 16820 draws them).
func TestChancesOfASequentialTest(t *testing.T) {
	paired := choice.SequentialDesign{P0: 0.5, P1: 0.7, Alpha: 0.1, Beta: 0.1}
	triangle40 := choice.SequentialDesign{P0: 1. / 3, P1: 0.6, Alpha: 0.05, Beta: 0.1}
	triangle30 := choice.SequentialDesign{P0: 1. / 3, P1: 1./3 + 0.3*2/3, Alpha: 0.05, Beta: 0.05}
	for _, tc := range []struct {
		d    choice.SequentialDesign
		most int
		p    float64
		want choice.SequentialChances
	}{
		{paired, 60, 0.5, choice.SequentialChances{0.8767379395538136, 0.08069205172632042, 0.04257000871986608,
			22.08920617970656}},
		{paired, 60, 0.6, choice.SequentialChances{0.4466025593428497, 0.42140522520014506, 0.1319922154570051,
			29.558483276142994}},
		{paired, 60, 0.7, choice.SequentialChances{0.08123615883007158, 0.8777542405584898, 0.041009600611438754,
			23.39199091214796}},
		{triangle40, 60, 1. / 3, choice.SequentialChances{0.9517505090170622, 0.03935369603183718, 0.008895794951101602,
			15.613186013330216}},
		{triangle40, 60, 0.6, choice.SequentialChances{0.07903019032417519, 0.9095075493301147, 0.011462260345710093,
			18.093517862911533}},
		{triangle30, 120, 1. / 3, choice.SequentialChances{0.9493476853089646, 0.04062457553400511,
			0.010027739157032117,
			34.95360000798903}},
		{triangle30, 120, 1./3 + 0.3*2/3, choice.SequentialChances{0.042456644284332226, 0.9474813330903812,
			0.010062022625286778, 34.074369298501686}},
	} {
		got, err := tc.d.Chances(tc.most, tc.p)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range [][2]float64{{got.Similar, tc.want.Similar}, {got.Different, tc.want.Different},
			{got.Open, tc.want.Open}, {got.Mean, tc.want.Mean}} {
			if math.Abs(v[0]-v[1]) > 1e-7*math.Abs(v[1])+1e-10 {
				t.Errorf("%+v at %g: %+v, want %+v", tc.d, tc.p, got, tc.want)
			}
		}
	}
}

func TestFewestAnswersThatDecide(t *testing.T) {
	for _, tc := range []struct {
		d                  choice.SequentialDesign
		similar, different int
	}{
		{choice.SequentialDesign{P0: 0.5, P1: 0.7, Alpha: 0.1, Beta: 0.1}, 5, 7},
		{choice.SequentialDesign{P0: 1. / 3, P1: 0.6, Alpha: 0.05, Beta: 0.1}, 5, 5},
		{choice.SequentialDesign{P0: 1. / 3, P1: 1./3 + 0.3*2/3, Alpha: 0.05, Beta: 0.05}, 9, 7},
	} {
		l, err := tc.d.Lines()
		if err != nil || l.FewestSimilar() != tc.similar || l.FewestDifferent() != tc.different {
			t.Errorf("%+v: %d and %d (%v), want %d and %d (reference-next.json)", tc.d, l.FewestSimilar(),
				l.FewestDifferent(), err, tc.similar, tc.different)
		}
	}
}
