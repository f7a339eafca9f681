package study

var spanish = tongue{
	tag: "es", inEnglish: "Spanish", called: []string{"spanish", "español", "castellano"},
	allergens: [14]string{
		"cereales que contengan gluten (trigo como espelta y trigo khorasan, centeno, cebada, avena)", "crustáceos", "huevos", "pescado", "cacahuetes", "soja",
		"leche (incluida la lactosa)",
		"frutos de cáscara (almendras, avellanas, nueces, anacardos, pacanas, nueces de Brasil, alfóncigos o pistachos, nueces macadamia o de Australia)",
		"apio (incluido el apionabo)", "mostaza", "granos de sésamo", "dióxido de azufre y sulfitos (más de 10 mg/kg o 10 mg/litro)", "altramuces", "moluscos",
	},
	hedonic: [9]string{
		"me disgusta muchísimo", "me disgusta mucho", "me disgusta moderadamente", "me disgusta un poco",
		"ni me gusta ni me disgusta",
		"me gusta un poco", "me gusta moderadamente", "me gusta mucho", "me gusta muchísimo",
	},
	screens: map[string]string{
		"senses":  "¿Está resfriado, o percibe hoy los olores o los sabores menos que de costumbre?",
		"kitchen": "¿Ha ayudado a planear, cocinar o emplatar lo que se sirve aquí?",
	},
	terms: map[AttributeID]termWords{
		"saltiness":   {"¿Hasta qué punto está salado?", "nada salado", "extremadamente salado"},
		"sweetness":   {"¿Hasta qué punto es dulce?", "nada dulce", "extremadamente dulce"},
		"sourness":    {"¿Hasta qué punto es ácido?", "nada ácido", "extremadamente ácido"},
		"bitterness":  {"¿Hasta qué punto es amargo?", "nada amargo", "extremadamente amargo"},
		"umami":       {"¿Cuánto umami tiene, el gusto del caldo y del queso curado?", "nada de umami", "muchísimo umami"},
		"metallic":    {"¿Hasta qué punto sabe a metal?", "nada metálico", "extremadamente metálico"},
		"pungency":    {"¿Hasta qué punto es picante, como el chile o la mostaza?", "nada picante", "extremadamente picante"},
		"astringency": {"¿Cuánto seca y contrae la boca, como un té muy cargado?", "nada", "muchísimo"},
		"smoothness":  {"¿Hasta qué punto es fino en la boca?", "muy granuloso", "muy fino"},
		"creaminess":  {"¿Hasta qué punto es cremoso?", "nada cremoso", "extremadamente cremoso"},
		"thickness":   {"¿Hasta qué punto es espeso?", "muy líquido", "muy espeso"},
		"firmness":    {"¿Hasta qué punto es firme al morderlo?", "muy blando", "muy firme"},
		"crispness":   {"¿Hasta qué punto es crujiente?", "nada crujiente", "extremadamente crujiente"},
		"chewiness":   {"¿Cuánto tiempo hay que masticarlo?", "casi nada", "muchísimo tiempo"},
		"juiciness":   {"¿Hasta qué punto es jugoso?", "muy seco", "muy jugoso"},
		"fattiness":   {"¿Hasta qué punto es graso en la boca?", "nada graso", "extremadamente graso"},
		"richness":    {"¿Hasta qué punto es sustancioso?", "muy ligero", "muy sustancioso"},
		"aroma":       {"¿Qué fuerza tiene su olor, antes de probarlo?", "sin olor", "extremadamente fuerte"},
		"flavour":     {"¿Qué fuerza tiene su sabor en conjunto?", "muy débil", "muy fuerte"},
		"aftertaste":  {"¿Qué fuerza tiene el sabor que queda después de tragar?", "no queda ninguno", "extremadamente fuerte"},
		"persistence": {"¿Cuánto dura su sabor después de tragar?", "desaparece enseguida", "muchísimo tiempo"},
		"liking":      {ask: "¿Cuánto le gusta?"},
	},
}
