package verify

import (
	"cloche/internal/stats"
	"cloche/internal/stats/meta"
)

// together is what several studies say in both ways.
type together struct {
	meta.Result
	HartungKnapp, Held held
	Few                meta.FewResult
}

type held struct {
	Estimate float64
	meta.HartungKnapp
}

// recordTable combines a few studies of one question.
var recordTable = []method{
	{id: "meta_few_studies", key: "q",
		fields: "k fixed{mu=Estimate se} q q_p=P tau2_dl=DL.Tau2 tau2_ci_q_profile=Tau2CI reml_tau2=REML.Tau2 " +
			"hartung_knapp=HartungKnapp{mu=Estimate se ci factor} hartung_knapp_at_least_1=Held{se ci} " +
			"bayes=Few{mu=Mean sd ci probability_above_0=AboveZero prediction tau_mean shrunken}",
		run: func(c *call) (any, error) {
			if prior := c.text("tau_prior", "half-normal"); prior != "half-normal" {
				mistake("tau_prior %q: half-normal is known", prior)
			}
			studies, err := combined(c)
			if err != nil {
				return nil, err
			}
			r, err := meta.Combine(studies, c.level())
			if err != nil {
				return nil, err
			}
			few, err := meta.Few(studies, c.number("tau_scale"), c.level())
			return together{r, held{r.REML.Estimate, r.REML.HartungKnapp}, held{r.REML.Estimate, r.REML.Held}, few}, err
		}},
}

// combined are the studies of an entry. Error: [stats.ErrUnequalLengths].
func combined(c *call) ([]meta.Study, error) {
	yi, vi := c.pairs("yi", "vi")
	if c.known["k"] = len(yi); len(yi) != len(vi) {
		return nil, stats.ErrUnequalLengths
	}
	studies := make([]meta.Study, len(yi))
	for i := range yi {
		studies[i] = meta.Study{Estimate: yi[i], Variance: vi[i]}
	}
	return studies, nil
}
