package study

// Term is an attribute that kitchens often rate, ready to be put into a study.
type Term struct {
	ID    AttributeID
	Name  string // as lists of terms show it
	ISO   string // the term of ISO 5492 that it asks about; "" = common practice, no source
	Scale ScaleKind

	words map[string]termWords
}

// termWords are a question and, for a line, its end words.
type termWords struct{ ask, low, high string }

// MostAttributes is how many attributes of each serving people answer with care
// (common practice, no source).
const MostAttributes = 8

// MostAttributesWords says so to whoever writes a study.
const MostAttributesWords = "Beyond about 8 questions for each serving, answers get careless and food gets cold (common practice, no source). Ask what decides, and leave the rest for another evening."

// In returns the term as an attribute with the words of a language of [Spoken],
// with or without a region; the words of any other language are English.
func (t Term) In(lang string) Attribute {
	base, _ := spokenAs(lang)
	w, ok := t.words[base]
	if !ok {
		base, w = baseLanguage, t.words[baseLanguage]
	}
	a := Attribute{ID: t.ID, Ask: w.ask, Scale: Scale{Kind: t.Scale}}
	if t.Scale == Hedonic9 {
		a.Scale.Labels = hedonicLabels(base)
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
	{"saltiness", "Saltiness", "saltiness", Line, map[string]termWords{
		"en": {"How salty is it?", "not at all salty", "extremely salty"},
		"fr": {"À quel point est-ce salé\u00a0?", "pas du tout salé", "extrêmement salé"},
		"de": {"Wie salzig ist es?", "gar nicht salzig", "äußerst salzig"},
		"es": {"¿Hasta qué punto está salado?", "nada salado", "extremadamente salado"},
		"it": {"Quanto è salato?", "per niente salato", "estremamente salato"},
	}},
	{"sweetness", "Sweetness", "sweetness", Line, map[string]termWords{
		"en": {"How sweet is it?", "not at all sweet", "extremely sweet"},
		"fr": {"À quel point est-ce sucré\u00a0?", "pas du tout sucré", "extrêmement sucré"},
		"de": {"Wie süß ist es?", "gar nicht süß", "äußerst süß"},
		"es": {"¿Hasta qué punto es dulce?", "nada dulce", "extremadamente dulce"},
		"it": {"Quanto è dolce?", "per niente dolce", "estremamente dolce"},
	}},
	{"sourness", "Sourness", "sourness", Line, map[string]termWords{
		"en": {"How sour is it?", "not at all sour", "extremely sour"},
		"fr": {"À quel point est-ce acide\u00a0?", "pas du tout acide", "extrêmement acide"},
		"de": {"Wie sauer ist es?", "gar nicht sauer", "äußerst sauer"},
		"es": {"¿Hasta qué punto es ácido?", "nada ácido", "extremadamente ácido"},
		"it": {"Quanto è acido?", "per niente acido", "estremamente acido"},
	}},
	{"bitterness", "Bitterness", "bitterness", Line, map[string]termWords{
		"en": {"How bitter is it?", "not at all bitter", "extremely bitter"},
		"fr": {"À quel point est-ce amer\u00a0?", "pas du tout amer", "extrêmement amer"},
		"de": {"Wie bitter ist es?", "gar nicht bitter", "äußerst bitter"},
		"es": {"¿Hasta qué punto es amargo?", "nada amargo", "extremadamente amargo"},
		"it": {"Quanto è amaro?", "per niente amaro", "estremamente amaro"},
	}},
	{"umami", "Umami", "umami", Line, map[string]termWords{
		"en": {"How much umami does it have, the taste of broth and of aged cheese?", "no umami", "very much umami"},
		"fr": {"Combien d’umami y a-t-il, ce goût de bouillon et de fromage affiné\u00a0?", "pas d’umami", "énormément d’umami"},
		"de": {"Wie viel Umami hat es, den Geschmack von Brühe und reifem Käse?", "kein Umami", "sehr viel Umami"},
		"es": {"¿Cuánto umami tiene, el gusto del caldo y del queso curado?", "nada de umami", "muchísimo umami"},
		"it": {"Quanto umami ha, il gusto del brodo e del formaggio stagionato?", "niente umami", "moltissimo umami"},
	}},
	{"metallic", "Metallic taste", "metallic", Line, map[string]termWords{
		"en": {"How metallic does it taste?", "not at all metallic", "extremely metallic"},
		"fr": {"À quel point a-t-il un goût métallique\u00a0?", "pas du tout métallique", "extrêmement métallique"},
		"de": {"Wie metallisch schmeckt es?", "gar nicht metallisch", "äußerst metallisch"},
		"es": {"¿Hasta qué punto sabe a metal?", "nada metálico", "extremadamente metálico"},
		"it": {"Quanto sa di metallo?", "per niente metallico", "estremamente metallico"},
	}},
	{"pungency", "Heat in the mouth", "pungency", Line, map[string]termWords{
		"en": {"How hot is it in the mouth, as from chilli or mustard?", "not at all hot", "extremely hot"},
		"fr": {"À quel point est-ce piquant, comme du piment ou de la moutarde\u00a0?", "pas du tout piquant", "extrêmement piquant"},
		"de": {"Wie scharf ist es, wie von Chili oder Senf?", "gar nicht scharf", "äußerst scharf"},
		"es": {"¿Hasta qué punto es picante, como el chile o la mostaza?", "nada picante", "extremadamente picante"},
		"it": {"Quanto è piccante, come peperoncino o senape?", "per niente piccante", "estremamente piccante"},
	}},
	{"astringency", "Astringency", "astringency", Line, map[string]termWords{
		"en": {"How much does it dry and draw the mouth together, as strong black tea does?", "not at all", "extremely"},
		"fr": {"À quel point cela assèche-t-il et resserre-t-il la bouche, comme un thé très infusé\u00a0?", "pas du tout", "extrêmement"},
		"de": {"Wie stark trocknet es den Mund und zieht ihn zusammen, wie starker schwarzer Tee?", "gar nicht", "äußerst stark"},
		"es": {"¿Cuánto seca y contrae la boca, como un té muy cargado?", "nada", "muchísimo"},
		"it": {"Quanto asciuga e allappa la bocca, come un tè molto forte?", "per niente", "moltissimo"},
	}},
	{"smoothness", "Smoothness", "granularity", Line, map[string]termWords{
		"en": {"How smooth is it in the mouth?", "very grainy", "very smooth"},
		"fr": {"À quel point est-ce lisse en bouche\u00a0?", "très granuleux", "très lisse"},
		"de": {"Wie glatt ist es im Mund?", "sehr körnig", "sehr glatt"},
		"es": {"¿Hasta qué punto es fino en la boca?", "muy granuloso", "muy fino"},
		"it": {"Quanto è liscio in bocca?", "molto granuloso", "molto liscio"},
	}},
	{"creaminess", "Creaminess", "", Line, map[string]termWords{
		"en": {"How creamy is it?", "not at all creamy", "extremely creamy"},
		"fr": {"À quel point est-ce crémeux\u00a0?", "pas du tout crémeux", "extrêmement crémeux"},
		"de": {"Wie cremig ist es?", "gar nicht cremig", "äußerst cremig"},
		"es": {"¿Hasta qué punto es cremoso?", "nada cremoso", "extremadamente cremoso"},
		"it": {"Quanto è cremoso?", "per niente cremoso", "estremamente cremoso"},
	}},
	{"thickness", "Thickness", "viscosity", Line, map[string]termWords{
		"en": {"How thick is it?", "very thin", "very thick"},
		"fr": {"À quel point est-ce épais\u00a0?", "très liquide", "très épais"},
		"de": {"Wie dickflüssig ist es?", "sehr dünnflüssig", "sehr dickflüssig"},
		"es": {"¿Hasta qué punto es espeso?", "muy líquido", "muy espeso"},
		"it": {"Quanto è denso?", "molto liquido", "molto denso"},
	}},
	{"firmness", "Firmness", "hardness", Line, map[string]termWords{
		"en": {"How firm is it to the bite?", "very soft", "very firm"},
		"fr": {"À quel point est-ce ferme sous la dent\u00a0?", "très mou", "très ferme"},
		"de": {"Wie fest ist es beim Hineinbeißen?", "sehr weich", "sehr fest"},
		"es": {"¿Hasta qué punto es firme al morderlo?", "muy blando", "muy firme"},
		"it": {"Quanto è sodo al morso?", "molto morbido", "molto sodo"},
	}},
	{"crispness", "Crispness", "fracturability", Line, map[string]termWords{
		"en": {"How crisp is it?", "not at all crisp", "extremely crisp"},
		"fr": {"À quel point est-ce croustillant\u00a0?", "pas du tout croustillant", "extrêmement croustillant"},
		"de": {"Wie knusprig ist es?", "gar nicht knusprig", "äußerst knusprig"},
		"es": {"¿Hasta qué punto es crujiente?", "nada crujiente", "extremadamente crujiente"},
		"it": {"Quanto è croccante?", "per niente croccante", "estremamente croccante"},
	}},
	{"chewiness", "Chewiness", "chewiness", Line, map[string]termWords{
		"en": {"How long does it have to be chewed?", "hardly at all", "very long"},
		"fr": {"Combien de temps faut-il le mâcher\u00a0?", "presque pas", "très longtemps"},
		"de": {"Wie lange muss man es kauen?", "kaum", "sehr lange"},
		"es": {"¿Cuánto tiempo hay que masticarlo?", "casi nada", "muchísimo tiempo"},
		"it": {"Quanto a lungo bisogna masticarlo?", "quasi niente", "molto a lungo"},
	}},
	{"juiciness", "Juiciness", "moisture", Line, map[string]termWords{
		"en": {"How juicy is it?", "very dry", "very juicy"},
		"fr": {"À quel point est-ce juteux\u00a0?", "très sec", "très juteux"},
		"de": {"Wie saftig ist es?", "sehr trocken", "sehr saftig"},
		"es": {"¿Hasta qué punto es jugoso?", "muy seco", "muy jugoso"},
		"it": {"Quanto è succoso?", "molto asciutto", "molto succoso"},
	}},
	{"fattiness", "Fattiness", "fatness", Line, map[string]termWords{
		"en": {"How fatty does it feel in the mouth?", "not at all fatty", "extremely fatty"},
		"fr": {"À quel point est-ce gras en bouche\u00a0?", "pas du tout gras", "extrêmement gras"},
		"de": {"Wie fett fühlt es sich im Mund an?", "gar nicht fett", "äußerst fett"},
		"es": {"¿Hasta qué punto es graso en la boca?", "nada graso", "extremadamente graso"},
		"it": {"Quanto è grasso in bocca?", "per niente grasso", "estremamente grasso"},
	}},
	{"richness", "Richness", "", Line, map[string]termWords{
		"en": {"How rich is it?", "very light", "very rich"},
		"fr": {"À quel point est-ce riche\u00a0?", "très léger", "très riche"},
		"de": {"Wie gehaltvoll ist es?", "sehr leicht", "sehr gehaltvoll"},
		"es": {"¿Hasta qué punto es sustancioso?", "muy ligero", "muy sustancioso"},
		"it": {"Quanto è ricco?", "molto leggero", "molto ricco"},
	}},
	{"aroma", "Strength of smell", "odour", Line, map[string]termWords{
		"en": {"How strong does it smell, before you taste it?", "no smell", "extremely strong"},
		"fr": {"Quelle est la force de son odeur, avant de goûter\u00a0?", "aucune odeur", "extrêmement forte"},
		"de": {"Wie stark riecht es, bevor Sie es kosten?", "kein Geruch", "äußerst stark"},
		"es": {"¿Qué fuerza tiene su olor, antes de probarlo?", "sin olor", "extremadamente fuerte"},
		"it": {"Quanto è forte il suo odore, prima dell’assaggio?", "nessun odore", "estremamente forte"},
	}},
	{"flavour", "Strength of flavour", "flavour", Line, map[string]termWords{
		"en": {"How strong is its flavour as a whole?", "very weak", "very strong"},
		"fr": {"Quelle est la force de sa saveur dans l’ensemble\u00a0?", "très faible", "très forte"},
		"de": {"Wie stark ist sein Geschmack insgesamt?", "sehr schwach", "sehr stark"},
		"es": {"¿Qué fuerza tiene su sabor en conjunto?", "muy débil", "muy fuerte"},
		"it": {"Quanto è forte il suo sapore nel complesso?", "molto debole", "molto forte"},
	}},
	{"aftertaste", "Aftertaste", "after-taste", Line, map[string]termWords{
		"en": {"How strong is the taste that stays after you swallow?", "no taste stays", "extremely strong"},
		"fr": {"Quelle est la force du goût qui reste après avoir avalé\u00a0?", "aucun goût ne reste", "extrêmement fort"},
		"de": {"Wie stark ist der Geschmack, der nach dem Schlucken bleibt?", "es bleibt keiner", "äußerst stark"},
		"es": {"¿Qué fuerza tiene el sabor que queda después de tragar?", "no queda ninguno", "extremadamente fuerte"},
		"it": {"Quanto è forte il sapore che resta dopo aver deglutito?", "non ne resta", "estremamente forte"},
	}},
	{"persistence", "Length of flavour", "persistence", Line, map[string]termWords{
		"en": {"How long does its flavour last after you swallow?", "gone at once", "very long"},
		"fr": {"Combien de temps sa saveur dure-t-elle après avoir avalé\u00a0?", "disparaît aussitôt", "très longtemps"},
		"de": {"Wie lange hält sein Geschmack nach dem Schlucken an?", "sofort weg", "sehr lange"},
		"es": {"¿Cuánto dura su sabor después de tragar?", "desaparece enseguida", "muchísimo tiempo"},
		"it": {"Quanto dura il suo sapore dopo aver deglutito?", "sparisce subito", "molto a lungo"},
	}},
	{"liking", "Liking", "", Hedonic9, map[string]termWords{
		"en": {ask: "How much do you like it?"},
		"fr": {ask: "À quel point cela vous plaît-il\u00a0?"},
		"de": {ask: "Wie gut schmeckt es Ihnen?"},
		"es": {ask: "¿Cuánto le gusta?"},
		"it": {ask: "Quanto le piace?"},
	}},
}
