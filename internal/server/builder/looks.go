package builder

import (
	"cloche/internal/method"
	"cloche/internal/study"
)

// looksFields ask whether the plan looks before the end.
func (b *builder) looksFields() []buildField {
	fields := []buildField{b.list("analysis.looks", "Look early, when so many have rated both",
		b.say("One number of people a line, from 12 on, for your partner to decide. At the end of the sitting by "+
			"which so many have rated both, the service tells you “go on” or “enough”, and nothing more. It takes a "+
			"%s, two-sided, everybody served both, and a sitting more than looks. Empty: nobody looks before the end.",
			b.say(method.PairedT.Title())))}
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

// evidenceFields ask whether evidence is counted after everybody, in place of looks.
func (b *builder) evidenceFields() []buildField {
	fields := []buildField{b.choose(pick, "analysis.evidence", "Count evidence after everybody",
		b.say("For your partner to decide, in place of early looks: when nobody can say beforehand how many guests "+
			"come. The service counts after everybody who has rated both, and tells lead and floor “go on” or "+
			"“enough”, and nothing more. It takes a %s, two-sided, everybody served both.",
			b.say(method.PairedT.Title())), "",
		option{Value: "", Label: "no"},
		option{Value: string(study.ByMixture), Label: "by a t mixture: the usual one",
			Hint: "from 12 people on; needs about as many people on average as a fixed number, and more at worst"},
		option{Value: string(study.ByBetting), Label: "by betting: for lopsided differences",
			Hint: "needs only the ends of the scale, and more people"})}
	if b.asked.Plan.Evidence != "" || b.text.Has("analysis.evidence at") {
		fields = append(fields, b.number("analysis.evidence at", "The difference for which evidence grows best",
			"The mean over the standard deviation of people’s differences that you plan for: 0.3 is small, 0.5 "+
				"middling. "+
				"It is fixed when the study is locked.", "0.5"))
	}
	return fields
}
