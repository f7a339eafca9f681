package builder

import "cloche/internal/study"

// lastQuestionField is what is asked after the last plate: whether the blind held.
func (b *builder) lastQuestionField() buildField {
	return b.choose(pick, "panel.last question", "Asked after the last plate", "Whether the blind held, before "+
		"anybody is told anything. Nothing that was rated can be changed after it. The report shows how many guessed "+
		"right, and the answer again without them.", "",
		option{Value: "", Label: "nothing"},
		option{Value: string(study.AskCompared), Label: "what they think was compared"},
		option{Value: string(study.AskSame), Label: "that, and if their plates were the same dish"},
		option{Value: string(study.AskWhich), Label: "that, and which was which"})
}
