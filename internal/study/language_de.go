package study

var german = tongue{
	tag: "de", inEnglish: "German", called: []string{"german", "deutsch"},
	allergens: [14]string{
		"glutenhaltiges Getreide (Weizen wie Dinkel und Khorasan-Weizen, Roggen, Gerste, Hafer)", "Krebstiere", "Eier", "Fische", "Erdnüsse", "Sojabohnen",
		"Milch (einschließlich Laktose)",
		"Schalenfrüchte (Mandeln, Haselnüsse, Walnüsse, Kaschunüsse, Pecannüsse, Paranüsse, Pistazien, Macadamia- oder Queenslandnüsse)",
		"Sellerie (einschließlich Knollensellerie)", "Senf", "Sesamsamen", "Schwefeldioxid und Sulfite (über 10 mg/kg oder 10 mg/l)", "Lupinen", "Weichtiere",
	},
	hedonic: [9]string{
		"missfällt mir äußerst", "missfällt mir sehr", "missfällt mir mäßig", "missfällt mir ein wenig",
		"weder das eine noch das andere",
		"gefällt mir ein wenig", "gefällt mir mäßig", "gefällt mir sehr", "gefällt mir äußerst",
	},
	screens: map[string]string{
		"senses":  "Haben Sie Schnupfen, oder riechen oder schmecken Sie heute weniger als sonst?",
		"kitchen": "Haben Sie geholfen, was hier serviert wird, zu planen, zu kochen oder anzurichten?",
	},
	terms: map[AttributeID]termWords{
		"saltiness":   {"Wie salzig ist es?", "gar nicht salzig", "äußerst salzig"},
		"sweetness":   {"Wie süß ist es?", "gar nicht süß", "äußerst süß"},
		"sourness":    {"Wie sauer ist es?", "gar nicht sauer", "äußerst sauer"},
		"bitterness":  {"Wie bitter ist es?", "gar nicht bitter", "äußerst bitter"},
		"umami":       {"Wie viel Umami hat es, den Geschmack von Brühe und reifem Käse?", "kein Umami", "sehr viel Umami"},
		"metallic":    {"Wie metallisch schmeckt es?", "gar nicht metallisch", "äußerst metallisch"},
		"pungency":    {"Wie scharf ist es, wie von Chili oder Senf?", "gar nicht scharf", "äußerst scharf"},
		"astringency": {"Wie stark trocknet es den Mund und zieht ihn zusammen, wie starker schwarzer Tee?", "gar nicht", "äußerst stark"},
		"smoothness":  {"Wie glatt ist es im Mund?", "sehr körnig", "sehr glatt"},
		"creaminess":  {"Wie cremig ist es?", "gar nicht cremig", "äußerst cremig"},
		"thickness":   {"Wie dickflüssig ist es?", "sehr dünnflüssig", "sehr dickflüssig"},
		"firmness":    {"Wie fest ist es beim Hineinbeißen?", "sehr weich", "sehr fest"},
		"crispness":   {"Wie knusprig ist es?", "gar nicht knusprig", "äußerst knusprig"},
		"chewiness":   {"Wie lange muss man es kauen?", "kaum", "sehr lange"},
		"juiciness":   {"Wie saftig ist es?", "sehr trocken", "sehr saftig"},
		"fattiness":   {"Wie fett fühlt es sich im Mund an?", "gar nicht fett", "äußerst fett"},
		"richness":    {"Wie gehaltvoll ist es?", "sehr leicht", "sehr gehaltvoll"},
		"aroma":       {"Wie stark riecht es, bevor Sie es kosten?", "kein Geruch", "äußerst stark"},
		"flavour":     {"Wie stark ist sein Geschmack insgesamt?", "sehr schwach", "sehr stark"},
		"aftertaste":  {"Wie stark ist der Geschmack, der nach dem Schlucken bleibt?", "es bleibt keiner", "äußerst stark"},
		"persistence": {"Wie lange hält sein Geschmack nach dem Schlucken an?", "sofort weg", "sehr lange"},
		"liking":      {ask: "Wie gut schmeckt es Ihnen?"},
	},
}
