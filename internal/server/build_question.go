package server

import "cloche/internal/study"

// questionWords say what each kind of test asks, for the list to choose from.
var questionWords = []option{
	{Value: string(study.Naming), Label: "The same food under different names"},
	{Value: string(study.Rating), Label: "Different dishes or recipes"},
}

// questionParts: what is asked, and what is expected.
func questionParts(b *builder) []part {
	return []part{{
		ID: "ask",
		Lead: []string{
			"One study answers one question. The more exactly it is put, the clearer the answer: which food, which difference, what is tasted.",
		},
		Fields: []buildField{
			b.line("title", "The question, in a line", "As you would ask it in the kitchen. Lead and partner read it; assessors never do before the study is over. For example: Does its name change how salty a celeriac custard tastes?"),
			b.choose(choice, "question", "Kind of test", "", "", questionWords...),
			b.paragraph("hypothesis", "What you expect, and why", "Written down beforehand it cannot bend to the result. Kitchen, floor and assessors never see it. May stay empty.", 3),
		},
	}, {
		ID: "exercise", Heading: "An exercise?",
		Fields: []buildField{
			b.tick("invented", "The ratings will be invented", "For training. Every page then says so."),
		},
	}}
}
