package words

var spanish = Words{
	tag: "es", Name: "Español", Decimal: ",",
	Months: "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
	Day:    "%d de %s de %d, %s",

	Skip:      "Ir a la parte principal",
	Note:      "Nota",
	Invented:  "Estos datos son inventados.",
	Title:     "Degustación",
	Languages: "Idioma",

	NoAllergens: "La cocina no indica ninguno de los 14 alérgenos que el derecho europeo obliga a declarar " +
		"(Reglamento (UE) n.º 1169/2011).",
	Care: "Alérgenos, y si se encuentra mal",
	Unwell: "Si se encuentra mal, deje de probar y avise enseguida al personal. Puede dejarlo en cualquier " +
		"momento, sin dar ningún motivo.",

	Welcome:  "Le damos la bienvenida a una degustación a ciegas",
	Contains: "Esta degustación contiene",
	Alcohol:  "Contiene alcohol.",
	AlcoholCare: "No lo pruebe si no tiene la edad legal para el alcohol aquí, si está embarazada, si va a " +
		"conducir o si toma algún medicamento que no lo admite.",
	OldEnough: "Tengo %d años o más",
	OfAge:     "Tengo la edad legal aquí para beber alcohol",
	SayAge:    "Marque esta casilla si es así. Si no, no lo pruebe, por favor.",
	GroupFull: "No queda ninguna plaza para usted",
	GroupFullText: "Las plazas que quedan en esta degustación se reservan para otros grupos de " +
		"comensales. Gracias por querer participar.",
	GroupWhy: "Por qué lo preguntamos: sirve para equilibrar los grupos de comensales. La respuesta queda " +
		"registrada con su número, aunque borre sus demás respuestas.",
	GroupStays: "Lo que dijo de usted al empezar queda registrado con su número: sirve para " +
		"equilibrar los grupos de comensales.",
	AskStaff: "Si no está seguro, pregunte a quien le atiende.",
	ListCare: "Esta lista vale para todo lo que se sirve en esta degustación. Si evita algo que no figura aquí, o " +
		"si tiene dudas, pregunte al personal antes de probar.",
	AgreeTo:   "Lo que acepta",
	TakesOnce: "Dura unos %d minutos.",
	TakesMore: "Dura unos %d minutos en total, en %d sesiones.",
	Agree:     "Puedo comer todo esto y acepto",
	Decline:   "No, gracias",

	WelcomeBack: "Hola de nuevo",
	WasBegun:    "Ya empezó una degustación en este teléfono.",
	Resume:      "Continuar",
	SomeoneElse: "Otra persona prueba con este teléfono",

	SaidNo: "Gracias por decirlo",
	DoNotTaste: "Por favor, no lo pruebe. No se ha guardado nada sobre usted, solo que una persona más ha dicho " +
		"que no.",
	AlreadyEaten: "Si ya ha comido algo y se encuentra mal, avise enseguida al personal.",
	BackToStart:  "Volver al principio",

	WhyNot: "¿Quiere decir por qué?",
	WhyNotText: "Solo si quiere, con un toque. Se guarda únicamente el motivo, para contarlo; nada sobre " +
		"usted.",
	WhyNoTime:    "No tengo tiempo",
	WhyCannotEat: "Lleva algo que no puedo o no suelo comer",
	WhyWouldNot:  "No quiero participar",
	WhyOther:     "Otro motivo",
	WhyThanks:    "Gracias: se ha contado.",
	WhyTellStaff: "Solo se ha contado, y nadie de la casa ha sido avisado. Si tiene una alergia, dígaselo " +
		"al personal antes de comer nada.",

	LastHeading: "Para terminar",
	LastText: "Gracias: lo ha probado todo, y sus valoraciones están guardadas. " +
		"Ya no se pueden cambiar. Si no lo sabe, dígalo.",
	BeforeFirst: "Antes de la primera ración",
	AnswerAsItIs: "Por favor, responda con sinceridad. Puede probar sea cual sea su respuesta; con algunas " +
		"respuestas, sus valoraciones no se cuentan.",
	Yes: "Sí",
	No:  "No",

	HowItGoes:    "Cómo funciona",
	OneServing:   "Hay una ración.",
	SomeServings: "Hay %d raciones, una tras otra.",
	OneName:      "Primero leerá un nombre, antes de que se sirva nada, y dirá qué espera.",
	SomeNames:    "Primero leerá %d nombres, antes de que se sirva nada, y dirá qué espera de cada uno.",
	CheckCode:    "Cada plato lleva un código de tres cifras: compruebe que el del suyo es el de la pantalla.",
	TypeCodeHow: "Cada plato lleva un código de tres cifras. Escríbalo cuando tenga el suyo " +
		"delante: entonces aparecen las preguntas.",
	NoWayBack: "Sus respuestas se guardan después de cada ración. No se puede volver a una anterior.",
	Begin:     "Empezar",

	SeatNumber: "Usted es el comensal %d",
	TableSeat:  "Mesa %d, asiento %d",
	AtTable:    "Mesa %d",
	ScanCard:   "Escanee el código con su teléfono. Primero vienen los alérgenos y después unas preguntas.",
	NameOf:     "Antes de probar: nombre %d de %d",
	Expect:     "Se le servirá esto. Antes de probarlo: ¿qué espera?",
	ServingOf:  "Ración %d de %d",
	Code:       "código",
	CheckPlate: "¿Lleva su plato el código %s? Si no, avise al personal antes de probar.",
	Replaced: "El plato se ha cambiado. Su nuevo código está ahora en esta página: compruébelo de nuevo antes " +
		"de probar.",
	OrNumber:    "o un número, de %s\u00a0a\u00a0%s",
	NotMarked:   "aún sin marcar",
	Marked:      "marcado",
	NoMarkLine:  "Aún sin marca: toque la línea.",
	StepLower:   "Un paso menos",
	StepHigher:  "Un paso más",
	SendOne:     "Enviar esta respuesta",
	SendSome:    "Enviar estas %d respuestas",
	WrongTitle:  "Faltan respuestas · Degustación",
	OneWrong:    "Falta una respuesta o no está clara",
	SomeWrong:   "Faltan %d respuestas o no están claras",
	NothingSent: "Todavía no se ha enviado nada. Lo que indicó está más abajo.",
	NoMark:      "Aún sin marcar: toque la línea o escriba un número.",
	NoChoice:    "Aún sin respuesta: elija una.",
	OffLine:     "Escriba un número de %s a %s.",
	OffList:     "Elija una de las respuestas.",

	RoundOf:        "Ronda %d de %d",
	YourPlates:     "%d platos uno junto a otro",
	TasteInOrder:   "Pruébelos uno tras otro, en este orden.",
	TasteAgain:     "Puede volver a probarlos.",
	TasteOnce:      "Pruebe cada uno una sola vez.",
	CheckPlates:    "¿Son estos los códigos de sus platos? Si no, dígaselo al personal antes de probar.",
	PaperLine:      "Trace una raya que cruce la línea.",
	PaperBox:       "Marque una casilla.",
	PaperCode:      "Si su plato lleva otro código, tache este y escriba el otro.",
	Compare:        "con el que se compara",
	RankHow:        "Tóquelas en ese orden. Tóquela otra vez para quitarla.",
	RankByNumber:   "Dé a cada una su lugar: 1 es el primero.",
	PlaceEarlier:   "Adelantar",
	PlaceLater:     "Atrasar",
	PlaceOf:        "Lugar de %s",
	NoPlace:        "Dé un lugar a cada una.",
	OnePlace:       "Dos tienen el mismo lugar: dé a cada una el suyo.",
	NoneFits:       "Ninguna de estas palabras encaja",
	NoTick:         "Aún no hay nada marcado: marque cada palabra que encaje, o que ninguna encaja.",
	BothTick:       "Ha marcado palabras y también que ninguna encaja: quite una de las dos cosas.",
	PaperTick:      "Marque la casilla de cada palabra que encaje.",
	PairWith:       "va con una de las otras",
	OneRound:       "Recibe %d platos a la vez y una pregunta sobre ellos.",
	SomeRounds:     "Hay %d rondas. En cada una recibe %d platos a la vez y una pregunta sobre ellos.",
	SecondsToRound: "segundos hasta la ronda %d de %d. La página sigue por sí sola.",
	AloneFirst:     "Primero prueba un plato solo.",
	OnlyTaste:      "Pruebe esto. No hay nada que responder.",
	Tasted:         "Lo he probado",
	TypeCodes:      "Escriba los códigos de sus platos, con un espacio entre ellos",
	TypeFirst:      "Escriba las tres cifras de su primer plato, a la izquierda",
	WrongCodes: "Esos no son los códigos de sus próximos platos. Compruebe las cifras de todos; si son " +
		"correctas, dígaselo al personal.",

	Pause:       "Una breve pausa",
	AnswersKept: "Sus respuestas están guardadas.",
	Rinse:       "Enjuáguese la boca antes de la ración siguiente, como dicen las instrucciones.",
	SecondsTo:   "segundos hasta la ración %d de %d. La página sigue sola.",
	GoOn:        "Seguir",

	LargerText:  "Texto más grande",
	UsualText:   "Tamaño de texto habitual",
	CommentLong: "Escriba como máximo %d caracteres.",
	ChangeLast:  "Cambiar mis últimas respuestas",
	ChangeNote: "Lo que envíe aquí sustituye lo que envió antes. Puede cambiarlo hasta que envíe las respuestas " +
		"siguientes.",
	LeaveAsIs:   "Dejarlas como están",
	TooLate:     "Se mantienen las respuestas anteriores",
	TooLateText: "La ración siguiente ya se ha valorado, y las respuestas a una anterior ya no se pueden cambiar.",
	TakeOut:     "Borrar mis respuestas",
	TakeOutAsk:  "¿Borrar sus respuestas?",
	TakeOutText: "Todo lo que ha respondido se borra para siempre, y no podrá continuar esta degustación. No " +
		"hace falta que dé un motivo.",
	TakeOutDo: "Borrar mis respuestas",
	TakeOutUntil: "Puede borrar sus respuestas hasta el %s, con el botón de abajo o diciéndonos su número. " +
		"Entonces se borran y los resultados se calculan de nuevo sin ellas.",
	Withdrawn:     "Sus respuestas están borradas",
	WithdrawnText: "No se conserva nada de lo que respondió. Gracias por venir.",
	Left:          "Ha dejado la degustación",
	LeftText: "El personal ha anotado que se ha ido. Lo que envió antes se conserva. Si sigue aquí, dígaselo: " +
		"puede continuar.",
	OtherPhone: "Seguir en otro teléfono",
	OtherPhoneText: "Enfoque este código con la cámara del otro teléfono: sigue donde está usted ahora. Si " +
		"algunas respuestas aún no se han enviado, deje este teléfono encendido hasta que se " +
		"envíen.",
	OtherPhoneOwn:  "No enseñe este código a nadie más: quien lo abra responde en su lugar.",
	OtherPhoneCode: "Código QR de su enlace personal",
	GiveBack:       "Devolver la tableta",
	GiveBackAsk:    "¿Devolver la tableta?",
	GiveBackText: "Lo que ha enviado se conserva. Quien reciba la tableta después no puede verlo. Si quiere " +
		"seguir más tarde, dígaselo a alguien del personal.",
	Stop:     "Parar aquí y conservar mis respuestas",
	StopAsk:  "¿Parar aquí?",
	StopText: "Lo que ha enviado se conserva. No se le servirá nada más. No hace falta que dé un motivo.",
	StopNot:  "Seguir probando",
	Stopped:  "Ha parado",
	StoppedText: "Lo que envió antes se conserva. Gracias por venir. Si al final quiere continuar, dígaselo al " +
		"personal.",
	Later: "Eso es todo por ahora",
	LaterText: "La degustación continúa en otra sesión, con este mismo enlace. Guárdelo, por ejemplo como " +
		"marcador.",

	KeptHere: "Lo que ha introducido está guardado en este teléfono. Se envía solo cuando vuelva la red: deje esta " +
		"página abierta o ábrala de nuevo más tarde.",
	Received: "Se han recibido sus respuestas.",
	Refused: "Algunas respuestas siguen guardadas en este teléfono, pero no se aceptaron. Enseñe esta página al " +
		"personal.",

	NoNetwork:   "No hay red. Esta página continúa cuando vuelva.",
	TypeCode:    "Escriba las tres cifras de su plato",
	TypeWhen:    "Hágalo cuando tenga el plato delante. Entonces aparecen las preguntas.",
	OpenServing: "Abrir",
	WrongCode: "Ese no es el código de su próxima ración. Compruebe las cifras del plato; si son correctas, " +
		"avise al personal.",
	AllKept:      "Todas sus respuestas están guardadas en este teléfono",
	NeedsNetwork: "Para cambiar el idioma o el tamaño del texto, o borrar sus respuestas, hace falta la red.",

	Found: "Lo que se encontró",
	FoundHigher: "«%s» De media, las respuestas fueron más altas para %s que para %s. El azar por sí solo " +
		"apenas lo haría.",
	FoundOne:   "Los comensales notaron una diferencia. El azar por sí solo apenas lo haría.",
	FoundSmall: "Hay una diferencia, pero tan pequeña que apenas importa.",
	FoundAlike: "Si hay alguna diferencia, es demasiado pequeña para importar.",
	FoundOpen:  "No hay una respuesta clara: no se encontró una diferencia ni se descartó.",
	FoundFew: "Participaron muy pocos comensales para tener una respuesta. Aun así ayuda a preparar la " +
		"próxima degustación.",
	YourAnswers: "Sus respuestas",
	YourMark:    "Usted",
	AllMarks:    "Media de %d comensales",
	SameAnswer:  "%d de %d comensales dieron esta respuesta.",
	SavePicture: "Guardar como imagen",
	PictureOnly: "La imagen muestra sus propias respuestas y lo que se encontró, sin las respuestas de nadie más.",
	StepOf:      "Pregunta %d de %d",
	NextOne:     "Siguiente",
	EarlierOne:  "Atrás",

	ThankYou:  "Gracias",
	TookPart:  "Gracias por participar.",
	OneIn:     "Sus respuestas han llegado.",
	AllIn:     "Han llegado las respuestas a las %d raciones.",
	About:     "De qué se trataba",
	Over:      "La degustación ha terminado",
	OverEarly: "Se cerró antes de su última ración. Lo que envió antes está guardado. Gracias por participar.",
	LastCall:  "La degustación termina pronto. Por favor, termine la ración que tiene delante.",
	EndsAt: "La degustación termina a las %s. Por favor, termine la ración que tiene delante: " +
		"lo que llegue después no cuenta.",
	AfterClose: "Llegaron respuestas de este teléfono después de cerrarse la degustación. Se guardan aparte y no " +
		"cuentan en los resultados.",

	Nowhere:     "Este enlace no funciona",
	NowhereText: "Escanee otra vez el código de su mesa o pida al personal un enlace nuevo.",
	Full:        "Todas las plazas están ocupadas",
	FullText:    "En esta degustación no queda ninguna plaza. Gracias por querer participar.",
	PlaceFreed:  "Su plaza quedó libre",
	PlaceFreedText: "Todavía no se le había servido nada, así que su plaza quedó libre para la persona siguiente. " +
		"Si desea degustar, puede participar de nuevo.",
	JoinAgain:  "Participar de nuevo",
	NotYetOpen: "Esta degustación aún no ha empezado",
	NotYetOpenText: "Llega pronto: vuelva a abrir esta página, o escanee otra vez el código, cuando el personal le " +
		"diga que ha empezado.",
	OldCard: "Esta tarjeta ya no vale",
	OldCardText: "La degustación se planificó de nuevo, y esta tarjeta es del plan anterior. Pida la tarjeta " +
		"nueva al personal.",
	NotOpen:     "Esta degustación no está abierta",
	NotOpenText: "No ha empezado o ya ha terminado. El personal se lo puede decir.",
	NotWhole:    "El formulario no ha llegado entero",
	SendAgain:   "Vuelva atrás y envíelo otra vez.",
	TooMuch:     "Es demasiado largo",
	WriteLess:   "Vuelva atrás y escriba menos.",
	Foreign:     "Este formulario viene de otro sitio",
	FromHere:    "Abra de nuevo la página aquí y envíe el formulario desde ella.",
	OurFault:    "Algo ha fallado por nuestra parte",
	TryAgain: "No se ha perdido nada de lo que estaba guardado. Inténtelo de nuevo en un momento; si vuelve " +
		"a ocurrir, avise al personal.",
	TooMany: "En este momento se están apuntando muchas personas desde aquí",
	TooManyText: "No se ha guardado nada de esto. Espere un minuto y envíelo de nuevo. Si continúa, avise al " +
		"personal.",

	WordTitle:  "Una cosa más",
	WordWhy:    "Escriba la palabra de la noche: está en la tarjeta de la mesa y el personal la conoce.",
	WordWrong:  "Esa no es la palabra de la noche. Mire la tarjeta de la mesa o pregunte al personal.",
	WordLabel:  "Palabra de la noche",
	CannotKeep: "No podemos guardar esto en este momento",
	LeaveOpen: "No se ha perdido nada de lo que estaba guardado. Deje abierta esta página, espere unos segundos e " +
		"inténtelo de nuevo.",
	IfItGoesOn: "Si continúa, avise al personal.",
	SendThis:   "Enviar de nuevo",
	Reference:  "Referencia para quien lleva este servicio:",
}
