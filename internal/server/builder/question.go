package builder

import (
	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// questionOptions are the kinds of test that this service runs and whose answer it
// finds, and the one that the study asks for already.
func (b *builder) questionOptions(asked study.Question) []option {
	var list []option
	for _, id := range study.Questions() {
		if k := id.Kind(); panel.Runs(id) && analysis.Finds(id) || id == asked {
			list = append(list, option{Value: string(id), Label: k.Title,
				Hint: b.say(k.ChooseIf) + " " + b.say("For example: %s", b.say(k.Example))})
		}
	}
	return list
}

// questionParts: what is asked, and what is expected.
func questionParts(b *builder) []part {
	return []part{{
		ID: "ask",
		Lead: []string{
			"One study answers one question. The more exactly it is put, the clearer the answer: which food, which " +
				"difference, what is tasted.",
		},
		Fields: []buildField{
			b.line("title", "The question, in a line", "As you would ask it in the kitchen. Lead and partner read "+
				"it; assessors never do before the study is over. For example: Does its name change how salty a "+
				"celeriac custard tastes?"),
			b.choose(choice, "question", "Kind of test", "", "", b.questionOptions(b.asked.Question)...),
			b.paragraph("hypothesis", "What you expect, and why",
				"Written down beforehand it cannot bend to the result. Kitchen, floor and assessors never see it. "+
					"May stay empty.", 3),
		},
	}, {
		ID: "exercise", Heading: "An exercise?",
		Fields: []buildField{
			b.tick("invented", "The ratings will be invented", "For training. Every page then says so."),
		},
	}}
}
