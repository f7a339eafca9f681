package builder

import (
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// toldFields ask what right answers are to show, and with what risk.
func (b *builder) toldFields() []buildField {
	fields := []buildField{b.choose(choice, "analysis.test", "What do you want to show?", "", "",
		option{Value: "", Label: "That people tell the two apart",
			Hint: "finding none does not show that there is no difference"},
		option{Value: string(study.Equivalence), Label: "That so few tell them apart that it passes unnoticed",
			Hint: "the step Size asks how many would be too many; it takes more people"})}
	fields = append(fields, b.tick("analysis.stop early", "Stop as soon as the answers decide",
		"The service looks after each answer and tells you on the board “go on” or “enough”, and nothing more. It "+
			"decides that people tell the two apart, or that so few do that it passes unnoticed; the panel you "+
			"plan is "+
			"the most that it takes. Needs the share that matters, in the step Size."))
	if b.asked.Plan.MayBeAlike() || b.text.Has("analysis.beta") {
		fields = append(fields, b.betaField())
	}
	return fields
}

// betaField asks for the risk of calling two samples alike that are told apart.
func (b *builder) betaField() buildField {
	return b.number("analysis.beta", "Risk of calling them alike, β", "The chance that you accept of calling two "+
		"alike although just as many tell them apart as would matter to you. 0.05 is usual.",
		site.Number(b.asked.Plan.Beta))
}
