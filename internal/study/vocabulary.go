package study

// Term is an attribute that kitchens often rate, ready to be put into a study.
type Term struct {
	ID    AttributeID
	Name  string // as lists of terms show it
	ISO   string // the term of ISO 5492 that it asks about; "" = common practice, no source
	Scale ScaleKind
}

// termWords are a question and, for a line, its end words.
type termWords struct{ ask, low, high string }

// MostAttributes is how many attributes of each serving people answer with care
// (common practice, no source).
const MostAttributes = 8

// MostAttributesWords says so to whoever writes a study.
const MostAttributesWords = "Beyond about 8 questions for each serving, answers get careless and food gets cold " +
	"(common practice, no source). Ask what decides, and leave the rest for another evening."

// In returns the term as an attribute with the words of a language of [Spoken],
// with or without a region; the words of any other language are English.
func (t Term) In(lang string) Attribute {
	w := tongueOf(lang).terms[t.ID]
	a := Attribute{ID: t.ID, Ask: w.ask, Scale: Scale{Kind: t.Scale}}
	if t.Scale == Hedonic9 {
		a.Scale.Labels = hedonicLabels(lang)
		return a
	}
	a.Scale.Low, a.Scale.High, a.Scale.From, a.Scale.To = w.low, w.high, lineFrom, lineTo
	return a
}

// Vocabulary is a short list of terms to begin with. Questions are in plain
// words, since guests do not know the terms; end words lean to neither side.
//
// Which terms are those of ISO 5492 (Sensory analysis, Vocabulary, 2008) is from
// memory: of several, the standard has the property (viscosity, granularity,
// fracturability, moisture) and names the words used here (thick, smooth, crisp,
// juicy) beside it. Questions and end words are our own in every language,
// written from memory and tried on nobody: have a native speaker read them.
var Vocabulary = []Term{
	{"saltiness", "Saltiness", "saltiness", Line},
	{"sweetness", "Sweetness", "sweetness", Line},
	{"sourness", "Sourness", "sourness", Line},
	{"bitterness", "Bitterness", "bitterness", Line},
	{"umami", "Umami", "umami", Line},
	{"metallic", "Metallic taste", "metallic", Line},
	{"pungency", "Heat in the mouth", "pungency", Line},
	{"astringency", "Astringency", "astringency", Line},
	{"smoothness", "Smoothness", "granularity", Line},
	{"creaminess", "Creaminess", "", Line},
	{"thickness", "Thickness", "viscosity", Line},
	{"firmness", "Firmness", "hardness", Line},
	{"crispness", "Crispness", "fracturability", Line},
	{"chewiness", "Chewiness", "chewiness", Line},
	{"juiciness", "Juiciness", "moisture", Line},
	{"fattiness", "Fattiness", "fatness", Line},
	{"richness", "Richness", "", Line},
	{"aroma", "Strength of smell", "odour", Line},
	{"flavour", "Strength of flavour", "flavour", Line},
	{"aftertaste", "Aftertaste", "after-taste", Line},
	{"persistence", "Length of flavour", "persistence", Line},
	{"liking", "Liking", "", Hedonic9},
}
