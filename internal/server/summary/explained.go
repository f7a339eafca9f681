package summary

import "cloche/internal/study"

// explained says in four sentences each what an answer rests on that a lead may not have met before: the plan's own
// lottery, whether everybody shifts, and whether the blind held. Nothing where the study asks for none of them.
func explained(a *study.Study) (lines []string) {
	if a.Plan.Test == study.Lottery {
		lines = append(lines, "The plan’s own lottery: everybody keeps what they rated at each plate, and what was on "+
			"it is drawn again, as before the tasting, many thousand times. The report counts how often such a draw "+
			"gives a difference as large as yours; when that is seldom, the draw alone hardly explains it. Nothing is "+
			"taken for granted but that the plan was drawn as it says, so that the answer is about these guests and "+
			"these plates. Serve what the plan says: where a plate was swapped, the report warns of it.")
	}
	if a.Serving.Replicates > 1 && a.Serving.Design != study.One && !a.Plan.WholePanel && a.Plan.EffectOf == "" {
		lines = append(lines, "Whether everybody shifts: each guest tastes both several times, so that what is a "+
			"guest’s own can be told from the noise of an answer. The report says whether guests truly differ in what "+
			"the samples do to them, and if so about how many in ten rate which one higher. It cannot say who they "+
			"are. Few guests seldom show it; how often so many would is said with the size of the panel.")
	}
	switch a.Panel.LastQuestion {
	case study.AskWhich:
		lines = append(lines, "Whether the blind held: after the last plate, before anything is told, guests say what "+
			"they think was compared and which was which, and may say that they do not know. The report counts who "+
			"was right and who was wrong; when more are right than guessing gives, some could tell. As a check it "+
			"gives the main comparison once more without those who guessed right. Right guesses prove no bias, since "+
			"guests may guess from what they tasted.")
	case study.AskSame:
		lines = append(lines, "Whether the blind held: after the last plate, before anything is told, guests say what "+
			"they think was compared and whether their plates were the same dish, and may say that they do not know. "+
			"The report counts who was right and who was wrong, and tests nothing, since nobody knows how many would "+
			"be right by guessing. As a check it gives the main comparison once more without those who guessed right. "+
			"Right guesses prove no bias, since guests may guess from what they tasted.")
	case study.AskCompared:
		lines = append(lines, "Whether the blind held: after the last plate, before anything is told, guests write "+
			"what they think was compared. The report counts who wrote something, and leaves the reading to you. "+
			"Whoever names what you compared could tell. That proves no bias, since guests may think of it from "+
			"what they tasted.")
	}
	return lines
}
