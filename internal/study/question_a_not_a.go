package study

// ANotA asks of single servings whether each is the sample that assessors know.
const ANotA Question = "a-not-a"

var aNotA = QuestionKind{
	ID:       ANotA,
	Title:    "Is this the one you know?",
	Asks:     "Do assessors recognise the first sample?",
	ChooseIf: "Choose it when assessors know one sample by heart and the servings cannot be compared side by side.",
	Example:  "Do regular guests recognise our custard?",
	Response: SayOneOfTwo, Servings: 1, Counts: countsRight,
	Ask: Wordings{
		"en": "Is this the one you know?",
		"fr": "Est-ce celui que vous connaissez ?",
		"de": "Ist das die Probe, die Sie kennen?",
		"es": "¿Es esta la que usted conoce?",
		"it": "È quello che conosce?",
	},
	Says: [2]Wordings{
		{"en": "Yes, it is", "fr": "Oui, c’est lui", "de": "Ja, das ist sie", "es": "Sí, es esta",
			"it": "Sì, è quello"},
		{"en": "No, it is another", "fr": "Non, c’en est un autre", "de": "Nein, das ist eine andere",
			"es": "No, es otra", "it": "No, è un altro"},
	},
	Samples: 2, WhyBlind: nameTells, Designs: onlyAll, Sides: onlyGreater,
}
