package study

// allergenWords are the groups of Regulation (EU) No 1169/2011, Annex II, in the
// order of [Allergens], in the words that the Annex has in each of these languages,
// shortened as the English ones are. “Including celeriac” is our own addition.
var allergenWords = map[string][14]string{
	"fr": {
		"céréales contenant du gluten (blé, comme épeautre et blé de Khorasan, seigle, orge, avoine)", "crustacés", "œufs", "poissons", "arachides", "soja",
		"lait (y compris le lactose)",
		"fruits à coque (amandes, noisettes, noix, noix de cajou, noix de pécan, noix du Brésil, pistaches, noix de Macadamia ou du Queensland)",
		"céleri (y compris le céleri-rave)", "moutarde", "graines de sésame", "anhydride sulfureux et sulfites (plus de 10 mg/kg ou 10 mg/litre)", "lupin", "mollusques",
	},
	"de": {
		"glutenhaltiges Getreide (Weizen wie Dinkel und Khorasan-Weizen, Roggen, Gerste, Hafer)", "Krebstiere", "Eier", "Fische", "Erdnüsse", "Sojabohnen",
		"Milch (einschließlich Laktose)",
		"Schalenfrüchte (Mandeln, Haselnüsse, Walnüsse, Kaschunüsse, Pecannüsse, Paranüsse, Pistazien, Macadamia- oder Queenslandnüsse)",
		"Sellerie (einschließlich Knollensellerie)", "Senf", "Sesamsamen", "Schwefeldioxid und Sulfite (über 10 mg/kg oder 10 mg/l)", "Lupinen", "Weichtiere",
	},
	"es": {
		"cereales que contengan gluten (trigo como espelta y trigo khorasan, centeno, cebada, avena)", "crustáceos", "huevos", "pescado", "cacahuetes", "soja",
		"leche (incluida la lactosa)",
		"frutos de cáscara (almendras, avellanas, nueces, anacardos, pacanas, nueces de Brasil, alfóncigos o pistachos, nueces macadamia o de Australia)",
		"apio (incluido el apionabo)", "mostaza", "granos de sésamo", "dióxido de azufre y sulfitos (más de 10 mg/kg o 10 mg/litro)", "altramuces", "moluscos",
	},
	"it": {
		"cereali contenenti glutine (grano, come farro e grano khorasan, segale, orzo, avena)", "crostacei", "uova", "pesce", "arachidi", "soia",
		"latte (incluso il lattosio)",
		"frutta a guscio (mandorle, nocciole, noci, noci di acagiù, noci di pecan, noci del Brasile, pistacchi, noci macadamia o del Queensland)",
		"sedano (incluso il sedano rapa)", "senape", "semi di sesamo", "anidride solforosa e solfiti (oltre 10 mg/kg o 10 mg/litro)", "lupini", "molluschi",
	},
}

// TextIn returns the full words of the allergen in one of the languages of
// [Spoken], with or without a region; in English for any other.
func (a Allergen) TextIn(lang string) string {
	base, _ := spokenAs(lang)
	words, ok := allergenWords[base]
	if !ok {
		return a.Text()
	}
	for i, x := range Allergens {
		if x.ID == a {
			return words[i]
		}
	}
	return string(a)
}

// hedonicWords are the labels of the 9-point hedonic scale from 1 to 9. Only the
// English ones are those of Peryam & Pilgrim (1957). The others are our own
// translations (common practice, no source): nobody has shown that their steps
// are as even, and that a mean in one language is a mean in another.
var hedonicWords = map[string][9]string{
	"en": Hedonic9Labels,
	"fr": {
		"extrêmement désagréable", "très désagréable", "modérément désagréable", "légèrement désagréable",
		"ni agréable ni désagréable",
		"légèrement agréable", "modérément agréable", "très agréable", "extrêmement agréable",
	},
	"de": {
		"missfällt mir äußerst", "missfällt mir sehr", "missfällt mir mäßig", "missfällt mir ein wenig",
		"weder das eine noch das andere",
		"gefällt mir ein wenig", "gefällt mir mäßig", "gefällt mir sehr", "gefällt mir äußerst",
	},
	"es": {
		"me disgusta muchísimo", "me disgusta mucho", "me disgusta moderadamente", "me disgusta un poco",
		"ni me gusta ni me disgusta",
		"me gusta un poco", "me gusta moderadamente", "me gusta mucho", "me gusta muchísimo",
	},
	"it": {
		"estremamente sgradito", "molto sgradito", "moderatamente sgradito", "leggermente sgradito",
		"né gradito né sgradito",
		"leggermente gradito", "moderatamente gradito", "molto gradito", "estremamente gradito",
	},
}

// hedonicLabels returns the labels of the hedonic scale in a language of
// [Spoken].
func hedonicLabels(lang string) []string {
	base, _ := spokenAs(lang)
	labels, ok := hedonicWords[base]
	if !ok {
		labels = Hedonic9Labels
	}
	return labels[:]
}
