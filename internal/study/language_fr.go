package study

var french = tongue{
	tag: "fr", inEnglish: "French", called: []string{"french", "français"},
	allergens: [14]string{
		"céréales contenant du gluten (blé, comme épeautre et blé de Khorasan, seigle, orge, avoine)", "crustacés", "œufs", "poissons", "arachides", "soja",
		"lait (y compris le lactose)",
		"fruits à coque (amandes, noisettes, noix, noix de cajou, noix de pécan, noix du Brésil, pistaches, noix de Macadamia ou du Queensland)",
		"céleri (y compris le céleri-rave)", "moutarde", "graines de sésame", "anhydride sulfureux et sulfites (plus de 10 mg/kg ou 10 mg/litre)", "lupin", "mollusques",
	},
	hedonic: [9]string{
		"extrêmement désagréable", "très désagréable", "modérément désagréable", "légèrement désagréable",
		"ni agréable ni désagréable",
		"légèrement agréable", "modérément agréable", "très agréable", "extrêmement agréable",
	},
	screens: map[string]string{
		"senses":  "Avez-vous un rhume, ou sentez-vous les odeurs ou les goûts moins que d’habitude aujourd’hui\u00a0?",
		"kitchen": "Avez-vous aidé à préparer, à cuisiner ou à dresser ce qui est servi ici\u00a0?",
	},
	terms: map[AttributeID]termWords{
		"saltiness":   {"À quel point est-ce salé\u00a0?", "pas du tout salé", "extrêmement salé"},
		"sweetness":   {"À quel point est-ce sucré\u00a0?", "pas du tout sucré", "extrêmement sucré"},
		"sourness":    {"À quel point est-ce acide\u00a0?", "pas du tout acide", "extrêmement acide"},
		"bitterness":  {"À quel point est-ce amer\u00a0?", "pas du tout amer", "extrêmement amer"},
		"umami":       {"Combien d’umami y a-t-il, ce goût de bouillon et de fromage affiné\u00a0?", "pas d’umami", "énormément d’umami"},
		"metallic":    {"À quel point a-t-il un goût métallique\u00a0?", "pas du tout métallique", "extrêmement métallique"},
		"pungency":    {"À quel point est-ce piquant, comme du piment ou de la moutarde\u00a0?", "pas du tout piquant", "extrêmement piquant"},
		"astringency": {"À quel point cela assèche-t-il et resserre-t-il la bouche, comme un thé très infusé\u00a0?", "pas du tout", "extrêmement"},
		"smoothness":  {"À quel point est-ce lisse en bouche\u00a0?", "très granuleux", "très lisse"},
		"creaminess":  {"À quel point est-ce crémeux\u00a0?", "pas du tout crémeux", "extrêmement crémeux"},
		"thickness":   {"À quel point est-ce épais\u00a0?", "très liquide", "très épais"},
		"firmness":    {"À quel point est-ce ferme sous la dent\u00a0?", "très mou", "très ferme"},
		"crispness":   {"À quel point est-ce croustillant\u00a0?", "pas du tout croustillant", "extrêmement croustillant"},
		"chewiness":   {"Combien de temps faut-il le mâcher\u00a0?", "presque pas", "très longtemps"},
		"juiciness":   {"À quel point est-ce juteux\u00a0?", "très sec", "très juteux"},
		"fattiness":   {"À quel point est-ce gras en bouche\u00a0?", "pas du tout gras", "extrêmement gras"},
		"richness":    {"À quel point est-ce riche\u00a0?", "très léger", "très riche"},
		"aroma":       {"Quelle est la force de son odeur, avant de goûter\u00a0?", "aucune odeur", "extrêmement forte"},
		"flavour":     {"Quelle est la force de sa saveur dans l’ensemble\u00a0?", "très faible", "très forte"},
		"aftertaste":  {"Quelle est la force du goût qui reste après avoir avalé\u00a0?", "aucun goût ne reste", "extrêmement fort"},
		"persistence": {"Combien de temps sa saveur dure-t-elle après avoir avalé\u00a0?", "disparaît aussitôt", "très longtemps"},
		"liking":      {ask: "À quel point cela vous plaît-il\u00a0?"},
	},
}
