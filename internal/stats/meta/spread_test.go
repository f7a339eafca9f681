package meta

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// Spreads of closed studies against testdata/reference/next.json (spread_prior), which general
// statistics software agrees with to 1e-15.
func TestSpreadsAgainstReference(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../../testdata/reference/next.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Entries []struct {
			ID, Method string
			Data       json.RawMessage
			Expected   json.RawMessage
		}
	}
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, e := range file.Entries {
		if e.Method != "spread_prior" {
			continue
		}
		var want struct {
			PooledSD float64   `json:"pooled_sd"`
			Bartlett float64   `json:"bartlett"`
			P        float64   `json:"bartlett_p"`
			PriorDF  any       `json:"prior_df"`
			PriorSD  float64   `json:"prior_sd"`
			Shrunken []float64 `json:"shrunken_sd"`
			Planning struct {
				Median  float64 `json:"median"`
				Upper80 float64 `json:"upper_80"`
				Upper90 float64 `json:"upper_90"`
			} `json:"planning_sd"`
		}
		if err := json.Unmarshal(e.Expected, &want); err != nil {
			t.Fatal(err)
		}
		var data struct{ SD, N []float64 }
		if err := json.Unmarshal(e.Data, &data); err != nil {
			t.Fatal(err)
		}
		var studies []StudySpread
		for i, sd := range data.SD {
			studies = append(studies, StudySpread{sd, data.N[i] - 1})
		}
		got, err := Spreads(studies)
		if err != nil {
			t.Fatal(err)
		}
		df, finite := want.PriorDF.(float64)
		if !finite {
			df = math.Inf(1)
		}
		if got.PriorDF != df {
			near(t, e.ID+" prior df", got.PriorDF, df, 1e-8)
		}
		near(t, e.ID+" pooled", got.PooledSD, want.PooledSD, 1e-8)
		near(t, e.ID+" Bartlett", got.Bartlett, want.Bartlett, 1e-8)
		near(t, e.ID+" p", got.P, want.P, 1e-8)
		near(t, e.ID+" prior sd", got.PriorSD, want.PriorSD, 1e-8)
		for p, v := range map[float64]float64{0.5: want.Planning.Median, 0.8: want.Planning.Upper80,
			0.9: want.Planning.Upper90} {
			near(t, e.ID+" next", got.Next(p), v, 1e-8)
		}
		for i, v := range want.Shrunken {
			near(t, e.ID+" shrunken", got.Shrunken[i], v, 1e-8)
		}
		compared++
	}
	if compared != 4 {
		t.Errorf("compared %d entries, want 4", compared)
	}
}
