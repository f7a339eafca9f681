package builder

import (
	"cloche/internal/method"
	"cloche/internal/study"
)

// looksFields ask whether the plan looks before the end.
func (b *builder) looksFields() []buildField {
	fields := []buildField{b.list("analysis.looks", "Look early, when so many have rated both",
		"One number of people a line, from 12 on, for your partner to decide. At the end of the sitting by which "+
			"so many have rated both, the service tells you “go on” or “enough”, and nothing more. It takes a "+
			method.PairedT.Title()+", two-sided, everybody served both, and a sitting more than looks. Empty: nobody "+
			"looks before the end.")}
	if len(b.asked.Plan.Looks) > 0 || b.text.Has("analysis.spending") {
		fields = append(fields, b.choose(pick, "analysis.spending", "How strict the early looks are",
			"All looks together keep the significance level.", string(study.SpendLate),
			option{Value: string(study.SpendLate), Label: "strict early, nearly as without looks at the end (O’Brien " +
				"and Fleming): the usual one"},
			option{Value: string(study.SpendEvenly), Label: "about as strict at each look (Pocock): stops " +
				"earlier, and takes more people when it does not"}))
	}
	return fields
}
