package study

// The words below are a cook's, in the languages of [Spoken], from memory and
// without a source: they find much of what names say and never all of it. A
// word with a language before it means something else in another.

// meaning is a list of words for one thing.
type meaning struct {
	of      Allergen
	also    []Allergen // what a claim to be free of it promises too
	phrases []phrase
}

// meanings are words that say what is in a dish.
var meanings = []meaning{
	{of: "gluten", phrases: phrases("gluten, glutine, wheat, barley, rye, oat, oats, spelt, semolina, couscous, " +
		"bulgur, seitan, bread, shortbread, brioche, panko, " +
		"ble, seigle, orge, avoine, epeautre, fr:pain, semoule, weizen*, roggen*, gersten*, gerste, hafer*, dinkel*, " +
		"griess*, brot, *brot, " +
		"trigo, centeno, cebada, avena, espelta, segale, orzo, farro, it:pane")},
	{of: "crustaceans", phrases: phrases("shrimp, shrimps, prawn, prawns, crab, crabs, lobster, lobsters, crayfish, " +
		"langoustine, langoustines, scampi, crevette, crevettes, " +
		"crabe, crabes, homard, homards, ecrevisse, ecrevisses, garnele*, krabbe*, hummer, hummern, hummer*, " +
		"de:krebs, flusskrebs*, gamba, gambas, langostino, langostinos, " +
		"cangrejo, cangrejos, bogavante, gambero, gamberi, gamberetti, granchio, aragosta, astice")},
	{of: "eggs", phrases: phrases("egg, eggs, meringue, mayonnaise, en:mayo, oeuf, oeufs, de:ei, eier, eier*, " +
		"eigelb*, eiweiss*, huevo, huevos, uovo, uova, tuorlo, tuorli, maionese")},
	{of: "fish", phrases: phrases("fish, salmon, tuna, cod, trout, anchovy, anchovies, sardine, sardines, mackerel, " +
		"haddock, halibut, herring, eel, turbot, caviar, monkfish, " +
		"en:sole, fr:sole, poisson, poissons, saumon, thon, cabillaud, truite, anchois, maquereau, hareng, anguille, " +
		"fisch, fische, fisch*, lachs*, thunfisch*, kabeljau*, forelle*, sardelle*, makrele*, hering*, de:aal, " +
		"kaviar*, " +
		"pescado, salmon, atun, bacalao, trucha, anchoa, anchoas, boqueron, boquerones, caballa, arenque, anguila, " +
		"pesce, salmone, tonno, merluzzo, baccala, trota, acciuga, acciughe, it:alice, it:alici, sgombro, aringa, " +
		"anguilla, caviale")},
	{of: "peanuts", phrases: phrases("peanut, peanuts, cacahuete, cacahuetes, cacahuate, cacahuates, arachide, " +
		"arachides, arachidi, erdnuss*, es:mani")},
	{of: "soya", phrases: phrases("soy, soya, soybean, soybeans, soja, soja*, soia, tofu, miso, edamame, tempeh, " +
		"tamari, shoyu")},
	{of: "milk", phrases: phrases("milk, butter, buttermilk, cream, cheese, yoghurt, yogurt, dairy, lactose, whey, " +
		"ghee, kefir, ricotta, mozzarella, burrata, mascarpone, parmesan, parmigiano, pecorino, " +
		"gruyere, cheddar, brie, camembert, feta, roquefort, gorgonzola, halloumi, lait, beurre, creme, fromage, " +
		"yaourt, " +
		"milch*, *milch, de:butter*, sahne*, rahm*, kase, kase*, *kase, joghurt*, quark*, laktose, molke*, leche, " +
		"lacteos, lactosa, mantequilla, es:nata, queso, yogur, " +
		"latte, lattosio, latticini, it:burro, panna, formaggio")},
	{of: "nuts", also: []Allergen{"peanuts"},
		phrases: phrases("nut, nuts, fruits a coque, nusse, nuss*, frutta a guscio, frutos secos")},
	{of: "nuts", phrases: phrases("almond, almonds, hazelnut, hazelnuts, walnut, walnuts, cashew, cashews, pecan, " +
		"pecans, pistachio, pistachios, macadamia, macadamias, " +
		"praline, marzipan*, frangipane, gianduja, nougat, amande, amandes, noisette, noisettes, noix, cajou, " +
		"pistache, pistaches, " +
		"mandel*, haselnuss*, walnuss*, pistazie*, almendra, almendras, avellana, avellanas, nuez, nueces, anacardo, " +
		"anacardos, pistacho, pistachos, turron, " +
		"mandorla, mandorle, nocciola, nocciole, noce, noci, anacardi, pistacchio, pistacchi, marzapane")},
	{of: "celery", phrases: phrases("celery, celeriac, celeri, celerirave, sellerie*, apio, apionabo, sedano")},
	{of: "mustard", phrases: phrases("mustard, moutarde, senf, senf*, mostaza, senape, mostarda")},
	{of: "sesame", phrases: phrases("sesame, tahini, tahina, halva, sesam, sesam*, sesamo")},
	{of: "lupin", phrases: phrases("lupin, lupins, lupine*, altramuz, altramuces, lupini, lupino")},
	{of: "molluscs", phrases: phrases("oyster, oysters, mussel, mussels, clam, clams, squid, octopus, cuttlefish, " +
		"scallop, scallops, snail, snails, abalone, huitre, huitres, fr:moules, palourde, palourdes, " +
		"calamar, calamars, poulpe, seiche, escargot, escargots, saint jacques, auster, austern, muscheln, " +
		"*muscheln, tintenfisch*, kalmar*, " +
		"ostra, ostras, mejillon, mejillones, almeja, almejas, calamares, pulpo, es:sepia, vieira, vieiras, " +
		"ostrica, ostriche, cozze, vongole, calamaro, calamari, polpo, seppia, capesante")},
	{of: ofAlcohol, phrases: phrases("wine, beer, rum, brandy, cognac, armagnac, calvados, whisky, whiskey, bourbon, " +
		"vodka, gin, kirsch, grappa, marsala, madeira, amaretto, limoncello, sherry, " +
		"champagne, prosecco, vin, biere, rhum, wein, rotwein, weisswein, bier, sekt, vino, cerveza, ron, birra")},
}

// freeWords are words that stand in free-from claims and say nothing alone.
var freeWords = []meaning{
	{of: ofAlcohol, phrases: phrases("alcohol, alkohol, alcool, alcol")},
	{of: ofSugar, phrases: phrases("sugar, sugars, sucre, sucres, zucker, azucar, azucares, zucchero, zuccheri")},
	{of: "crustaceans", also: []Allergen{"molluscs"}, phrases: phrases("shellfish, schalentiere, marisco, mariscos")},
	{of: "sulphites", phrases: phrases("sulphite, sulphites, sulfite, sulfites, sulfit, sulfitos, solfiti")},
}

// apart is a phrase that means something else than its words do.
type apart struct {
	phrases []phrase
	says    []Allergen
	instead Allergen // what it is taken to replace
}

// phrasesApart come before the single words, longer phrases before shorter ones
// that begin them. The nuts of Annex II do not include pine nuts, coconut,
// chestnut, nutmeg and tiger nuts.
var phrasesApart = []apart{
	{phrases("oat milk, oat cream, oat yoghurt, oat yogurt, lait d avoine, creme d avoine, hafermilch*, hafersahne*, " +
		"hafercreme*, leche de avena, latte di avena, latte d avena"), []Allergen{"gluten"}, "milk"},
	{phrases("almond milk, almond cream, almond cheese, cashew milk, cashew cream, cashew cheese, hazelnut milk, nut " +
		"milk, lait d amande, lait d amandes, lait de noisette, creme de cajou, " +
		"mandelmilch*, nussmilch*, cashewmilch*, leche de almendra, leche de almendras, latte di mandorla, latte di " +
		"mandorle"), []Allergen{"nuts"}, "milk"},
	{phrases("soy milk, soya milk, soy cream, soya cream, soy yoghurt, soya yoghurt, soy yogurt, lait de soja, creme " +
		"de soja, yaourt de soja, sojamilch*, sojasahne*, leche de soja, latte di soia, panna di soia"),
		[]Allergen{"soya"}, "milk"},
	{phrases("coconut milk, coconut cream, coconut yoghurt, coconut yogurt, rice milk, lait de coco, creme de coco, " +
		"creme coco, yaourt de coco, lait de riz, lait vegetal, creme vegetale, " +
		"kokosmilch*, kokossahne*, kokoscreme*, kokosjoghurt*, reismilch*, leche de coco, leche de arroz, leche " +
		"vegetal, latte di cocco, latte di riso, latte vegetale, panna vegetale"), nil, "milk"},
	{phrases("vegan butter, plant butter, vegan cream, plant cream, vegan cheese, plant milk, vegan milk, margarine, " +
		"beurre vegetal, fromage vegetal, queso vegano, formaggio vegano"), nil, "milk"},
	{phrases("vegan egg, vegan eggs, vegan mayonnaise, vegan mayo, vegan meringue, aquafaba"), nil, "eggs"},
	{phrases("vegan fish, vegan salmon, vegan tuna, vegan caviar"), nil, "fish"},
	{phrases("vegan shrimp, vegan prawn, vegan prawns"), nil, "crustaceans"},
	{phrases("almond flour, nut flour, farine d amande, mandelmehl, harina de almendra, farina di mandorle"),
		[]Allergen{"nuts"}, "gluten"},
	{phrases("rice flour, rice noodles, buckwheat, sarrasin, ble noir, buchweizen*, trigo sarraceno, grano saraceno, " +
		"corn bread, cornbread"), nil, "gluten"},
	{phrases("peanut butter, beurre de cacahuete, beurre de cacahuetes, beurre d arachide, erdnussbutter*, " +
		"mantequilla de cacahuete, mantequilla de mani, burro di arachidi"), []Allergen{"peanuts"}, ""},
	{phrases("almond butter, cashew butter, hazelnut butter, nut butter, beurre d amande, mandelmus*"),
		[]Allergen{"nuts"}, ""},
	{phrases("sesame butter"), []Allergen{"sesame"}, ""},
	{phrases("cocoa butter, shea butter, apple butter, butter bean, butter beans, butter lettuce, butternut*, " +
		"butternuss*, beurre de cacao, kakaobutter, manteca de cacao, burro di cacao"), nil, ""},
	{phrases("cream of tartar, cream soda, cream cracker, cream crackers, creme de, creme d, leche de tigre, head " +
		"cheese, fromage de tete, milk cap, milk caps, milk thistle, leberkase*, caviar d aubergine, caviar d " +
		"aubergines, aubergine caviar"), nil, ""},
	{phrases("beurre noisette"), []Allergen{"milk"}, ""},
	{phrases("noix de saint jacques, noix de st jacques"), []Allergen{"molluscs"}, ""},
	{phrases("pine nut, pine nuts, tiger nut, tiger nuts, coco nut, noix de coco, noix de muscade, noix de veau, " +
		"nuez moscada, nuez de coco, noce moscata, noce di cocco, noce di vitello, " +
		"pommes noisette, pommes noisettes, noisette of, noisettes of, noisette d agneau, noisettes d agneau, " +
		"noisettes de chevreuil"), nil, ""},
	{phrases("oyster mushroom, oyster mushrooms, oyster leaf, austernpilz*, austernseitling*, lobster mushroom, crab " +
		"apple, crab apples, egg plant"), nil, ""},
	{phrases("oeufs de saumon, oeufs de truite, oeufs de lompe, oeufs de poisson, uova di salmone, uova di pesce, " +
		"uova di trota"), []Allergen{"fish"}, ""},
	{phrases("wine vinegar, champagne vinegar, sherry vinegar, cider vinegar, vinaigre de vin, vinagre de vino, " +
		"aceto di vino, root beer, ginger beer, wine gum, wine gums, madeira cake"), nil, ""},
}

// Claims about diets, and what breaks them.
var (
	saysVegan      = phrases("vegan*, vegetalien*, plant based, pflanzlich*")
	saysVegetarian = phrases("vegetari*, veggie")
	saysMeat       = phrases("meat, beef, pork, chicken, lamb, veal, duck, goose, turkey, venison, rabbit, ham, " +
		"bacon, lard, suet, tallow, gelatin, gelatine, " +
		"viande, boeuf, porc, poulet, agneau, veau, canard, oie, dinde, jambon, saindoux, fleisch*, de:rind*, " +
		"schwein*, huhn*, hahnchen*, lamm*, kalb*, ente, enten*, schinken*, speck, speck*, schmalz*, " +
		"carne, ternera, cerdo, pollo, cordero, pato, jamon, manteca, gelatina, manzo, maiale, agnello, vitello, " +
		"anatra, tacchino, prosciutto, lardo, strutto")
	saysHoney = phrases("honey, miel, honig*, miele, beeswax, carmine, cochineal, isinglass, shellac")

	againstVegan      = []Allergen{"crustaceans", "eggs", "fish", "milk", "molluscs"}
	againstVegetarian = []Allergen{"crustaceans", "fish", "molluscs"}
)

// saysCertified are claims that only certified food may carry: organic by
// Regulation (EU) 2018/848; halal and kosher by those who certify them.
var saysCertified = phrases("organic, bio, biologique, biologiques, biologisch*, okologisch*, ecologico, ecologica, " +
	"biologico, biologica, halal, kosher, koscher*, casher, kasher")

// saysProtected are names that are, as far as memory goes, registered
// designations of origin or geographical indications in the European Union or
// the United Kingdom. The registers change; the list is short and is not them.
var saysProtected = phrases("champagne, prosecco, cognac, armagnac, calvados, sherry, jerez, scotch whisky, " +
	"roquefort, camembert de normandie, brie de meaux, comte cheese, fr:comte, reblochon, gruyere, " +
	"feta, halloumi, parmesan, parmigiano, grana padano, gorgonzola, mozzarella di bufala, pecorino romano, asiago, " +
	"fontina, taleggio, manchego, stilton, " +
	"parma ham, prosciutto di parma, san daniele, mortadella bologna, speck alto adige, bresaola della valtellina, " +
	"lardo di colonnata, jabugo, guijuelo, black forest ham, schwarzwalder schinken, tiroler speck, " +
	"balsamico di modena, vinegar of modena, pistacchio di bronte, san marzano, kalamata, piment d espelette, " +
	"lentilles du puy, lentilles vertes du puy, puy lentils, noix de grenoble, pruneaux d agen, " +
	"sel de guerande, fleur de sel de guerande, riz de camargue, turron de jijona, turron de alicante, melton " +
	"mowbray, cornish pasty, cornish pasties, cornish clotted cream, jersey royal, jersey royals, " +
	"nurnberger lebkuchen, lubecker marzipan, dresdner stollen, allgauer bergkase")

// saysOrigin are words that say where something comes from.
var saysOrigin = phrases("local, locally, regional*, home grown, homegrown, farm, garden, en:from, locale, locaux, " +
	"terroir, ferme, jardin, potager, lokal*, heimisch*, de:aus, de:vom, bauernhof, " +
	"de la huerta, del huerto, de la tierra, de la region, casero, casera, nostrano, nostrana, dell orto, " +
	"della casa, " +
	"english, scottish, scotch, welsh, irish, british, american, french, german, italian, spanish, swiss, austrian, " +
	"greek, portuguese, japanese, norwegian, danish, swedish, belgian, dutch, turkish, moroccan, indian, thai, " +
	"chinese, korean, mexican, peruvian, " +
	"sicilian, tuscan, alpine, mediterranean, nordic, " +
	"francais, francaise, anglais, anglaise, allemand*, italien*, espagnol*, suisse*, grec, grecque, japonais*, " +
	"breton, bretonne, normand, normande, provencal*, savoyard*, alsacien*, " +
	"englisch*, franzosisch*, deutsch*, spanisch*, schweizer*, osterreichisch*, griechisch*, japanisch*, bayerisch*, " +
	"schwabisch*, sizilianisch*, " +
	"frances, francesa, ingles, inglesa, aleman, alemana, italiano, italiana, espanol, espanola, griego, griega, " +
	"japones, japonesa, gallego, gallega, vasco, vasca, andaluz, andaluza, catalan, catalana, " +
	"francese, inglese, tedesco, tedesca, spagnolo, spagnola, svizzero, svizzera, greco, greca, giapponese, " +
	"siciliano, siciliana, toscano, toscana, napoletano, napoletana, alpino, alpina")

// saysMoney and saysNumber find prices beside the signs of currencies, and
// numbers and weights.
var (
	saysMoney = phrases("eur, euro, euros, chf, usd, gbp, dollar, dollars, franken, centime, centimes, cent, " +
		"cents, pence")
	saysNumber = phrases("0*, 1*, 2*, 3*, 4*, 5*, 6*, 7*, 8*, 9*")
)
