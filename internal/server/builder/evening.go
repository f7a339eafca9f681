package builder

import (
	"strconv"

	"cloche/internal/study"
)

// eveningPart is what a study says of the evening itself: when a plate opens on the phone, who
// sits together, when a plate has waited for too long, and how the tasting ends.
func (b *builder) eveningPart() part {
	p := part{ID: "evening", Heading: "During the evening", Fields: []buildField{
		b.choose(choice, "serving.plate gate", "When the phone shows the questions",
			"A name does its work from the moment it is read. Where names are compared, the plate should be there "+
				"first.",
			strconv.FormatBool(b.asked.Question.Kind().NamesMatter),
			option{Value: "true", Label: "When the guest has typed the code on the plate",
				Hint: "usual where names are compared"},
			option{Value: "false", Label: "As soon as the serving is due", Hint: "less to type"}),
		b.number("serving.minutes at the pass", "Minutes that a plate may wait at the pass",
			"After that, kitchen and floor see it marked. Hot food cools quickly (common practice, no source).", "3"),
		b.number("serving.minutes of grace", "Minutes to finish after you close",
			"Who is tasting may finish in that time. Phones say until when. 0: it closes at once.", "5"),
		b.line("serving.time zone", "Time zone of the house",
			"By region and city, as in Europe/Berlin. Times of this study are shown in it. Empty: that of the machine "+
				"on which Cloche runs."),
	}}
	if !b.asked.Serving.DealtOnArrival() || b.text.Has("serving.at one table") {
		p.Fields = append(p.Fields, b.choose(choice, "serving.at one table", "Guests at one table", "",
			string(study.MixedOrders),
			option{Value: string(study.MixedOrders), Label: "Taste in different orders",
				Hint: "neighbours have different plates in front of them, and cannot compare"},
			option{Value: string(study.SameOrder), Label: "Taste in the same order",
				Hint: "a table hears one name at a time; as far as places are left"}))
	}
	return p
}
