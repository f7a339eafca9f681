package study

var italian = tongue{
	tag: "it", inEnglish: "Italian", called: []string{"italian", "italiano"},
	allergens: [14]string{
		"cereali contenenti glutine (grano, come farro e grano khorasan, segale, orzo, avena)", "crostacei", "uova", "pesce", "arachidi", "soia",
		"latte (incluso il lattosio)",
		"frutta a guscio (mandorle, nocciole, noci, noci di acagiù, noci di pecan, noci del Brasile, pistacchi, noci macadamia o del Queensland)",
		"sedano (incluso il sedano rapa)", "senape", "semi di sesamo", "anidride solforosa e solfiti (oltre 10 mg/kg o 10 mg/litro)", "lupini", "molluschi",
	},
	hedonic: [9]string{
		"estremamente sgradito", "molto sgradito", "moderatamente sgradito", "leggermente sgradito",
		"né gradito né sgradito",
		"leggermente gradito", "moderatamente gradito", "molto gradito", "estremamente gradito",
	},
	screens: map[string]string{
		"senses":  "Ha il raffreddore, oppure oggi sente gli odori o i sapori meno del solito?",
		"kitchen": "Ha aiutato a progettare, cucinare o impiattare ciò che si serve qui?",
	},
	terms: map[AttributeID]termWords{
		"saltiness":   {"Quanto è salato?", "per niente salato", "estremamente salato"},
		"sweetness":   {"Quanto è dolce?", "per niente dolce", "estremamente dolce"},
		"sourness":    {"Quanto è acido?", "per niente acido", "estremamente acido"},
		"bitterness":  {"Quanto è amaro?", "per niente amaro", "estremamente amaro"},
		"umami":       {"Quanto umami ha, il gusto del brodo e del formaggio stagionato?", "niente umami", "moltissimo umami"},
		"metallic":    {"Quanto sa di metallo?", "per niente metallico", "estremamente metallico"},
		"pungency":    {"Quanto è piccante, come peperoncino o senape?", "per niente piccante", "estremamente piccante"},
		"astringency": {"Quanto asciuga e allappa la bocca, come un tè molto forte?", "per niente", "moltissimo"},
		"smoothness":  {"Quanto è liscio in bocca?", "molto granuloso", "molto liscio"},
		"creaminess":  {"Quanto è cremoso?", "per niente cremoso", "estremamente cremoso"},
		"thickness":   {"Quanto è denso?", "molto liquido", "molto denso"},
		"firmness":    {"Quanto è sodo al morso?", "molto morbido", "molto sodo"},
		"crispness":   {"Quanto è croccante?", "per niente croccante", "estremamente croccante"},
		"chewiness":   {"Quanto a lungo bisogna masticarlo?", "quasi niente", "molto a lungo"},
		"juiciness":   {"Quanto è succoso?", "molto asciutto", "molto succoso"},
		"fattiness":   {"Quanto è grasso in bocca?", "per niente grasso", "estremamente grasso"},
		"richness":    {"Quanto è ricco?", "molto leggero", "molto ricco"},
		"aroma":       {"Quanto è forte il suo odore, prima dell’assaggio?", "nessun odore", "estremamente forte"},
		"flavour":     {"Quanto è forte il suo sapore nel complesso?", "molto debole", "molto forte"},
		"aftertaste":  {"Quanto è forte il sapore che resta dopo aver deglutito?", "non ne resta", "estremamente forte"},
		"persistence": {"Quanto dura il suo sapore dopo aver deglutito?", "sparisce subito", "molto a lungo"},
		"liking":      {ask: "Quanto le piace?"},
	},
}
