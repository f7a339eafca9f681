package report

import (
	"testing"

	"cloche/internal/study"
)

func TestContrasts(t *testing.T) {
	one := namesStudy(false)
	four := namesStudy(false)
	four.Samples = []study.Sample{
		{ID: "A", Dish: "custard", Name: "brulee"}, {ID: "B", Dish: "custard", Name: "royale"},
		{ID: "C", Dish: "soup", Name: "royale"}, {ID: "D", Dish: "soup"}, {ID: "E", Dish: "custard"},
	}
	for _, tc := range []struct {
		name    string
		s       *study.Study
		a, b    study.SampleID
		subject string
		between string
	}{
		{"two names of the only dish", one, "A", "B", "Called celeriac crème brûlée, the same dish",
			"celeriac crème brûlée and celeriac royale"},
		{"two names among several dishes", four, "A", "B",
			"Called celeriac crème brûlée, the same dish (Warm celeriac custard)",
			"celeriac crème brûlée and celeriac royale (Warm celeriac custard)"},
		{"one name, two dishes", four, "B", "C", "Warm celeriac custard (both as celeriac royale)",
			"Warm celeriac custard and Leek soup (both as celeriac royale)"},
		{"name and dish differ", four, "A", "C", "Warm celeriac custard as celeriac crème brûlée",
			"Warm celeriac custard as celeriac crème brûlée and Leek soup as celeriac royale"},
		{"named against blind", four, "C", "D", "Called celeriac royale, the same dish (Leek soup)",
			"celeriac royale and without a name (Leek soup)"},
		{"both blind", four, "E", "D", "Warm celeriac custard (both without a name)",
			"Warm celeriac custard and Leek soup (both without a name)"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := contrastOf(tc.s, [2]study.SampleID{tc.a, tc.b})
			if c.subject.String() != tc.subject || c.between().String() != tc.between {
				t.Errorf("got  %q, %q\nwant %q, %q", c.subject, c.between(), tc.subject, tc.between)
			}
		})
	}
}
