package study

// SameDifferent asks whether two servings are the same (ASTM E2139).
const SameDifferent Question = "same-different"

var sameDifferent = QuestionKind{
	ID:    SameDifferent,
	Title: "Are these two the same?",
	Asks:  "Can assessors tell the two samples apart?",
	ChooseIf: "Choose it when two servings are all that a palate bears, and nobody can say beforehand in what they " +
		"differ.",
	Example:  "Is custard from frozen celeriac the same as from fresh?",
	Response: SayOneOfTwo, Servings: 2, Counts: countsRight,
	Ask: Wordings{
		"en": "Are these two the same or different?",
		"fr": "Ces deux échantillons sont-ils identiques ou différents ?",
		"de": "Sind diese beiden gleich oder verschieden?",
		"es": "¿Estas dos son iguales o distintas?",
		"it": "Questi due sono uguali o diversi?",
	},
	Says: [2]Wordings{
		{"en": "The same", "fr": "Identiques", "de": "Gleich", "es": "Iguales", "it": "Uguali"},
		{"en": "Different", "fr": "Différents", "de": "Verschieden", "es": "Distintas", "it": "Diversi"},
	},
	Samples: 2, WhyBlind: nameTells, Designs: onlyAll, Sides: onlyGreater,
}
