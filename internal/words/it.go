package words

var italian = Words{
	tag: "it", Name: "Italiano", Decimal: ",",
	Months: "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
	Day:    "%d %s %d, %s",

	Skip:      "Vai alla parte principale",
	Note:      "Nota",
	Invented:  "Questi dati sono inventati.",
	Title:     "Degustazione",
	Languages: "Lingua",

	NoAllergens: "La cucina non indica nessuno dei 14 allergeni che il diritto europeo obbliga a dichiarare " +
		"(regolamento (UE) n. 1169/2011).",
	Care: "Allergeni, e se non si sente bene",
	Unwell: "Se non si sente bene, smetta di assaggiare e avvisi subito il personale. Può smettere in " +
		"qualsiasi momento, senza dare un motivo.",

	Welcome:  "Benvenuti a una degustazione alla cieca",
	Contains: "Questa degustazione contiene",
	Alcohol:  "Contiene alcol.",
	AlcoholCare: "Non assaggi se non ha l’età prevista qui dalla legge per l’alcol, se è incinta, se deve guidare " +
		"o se prende farmaci che non vanno d’accordo con l’alcol.",
	OldEnough: "Ho %d anni o più",
	OfAge:     "Ho l’età prevista qui dalla legge per bere alcolici",
	SayAge:    "Spunti questa casella se è così. Altrimenti non assaggi, per favore.",
	GroupFull: "Per Lei non ci sono più posti",
	GroupFullText: "I posti che restano in questa degustazione sono riservati ad altri gruppi di " +
		"ospiti. Grazie di aver voluto partecipare.",
	GroupWhy: "Perché lo chiediamo: serve a tenere equilibrati i gruppi di ospiti. La risposta resta " +
		"registrata con il Suo numero, anche se cancella le altre risposte.",
	GroupStays: "Ciò che ha detto di sé all’inizio resta registrato con il Suo numero: serve a " +
		"tenere equilibrati i gruppi di ospiti.",
	AskStaff: "Se non è sicuro, chieda a chi La serve.",
	ListCare: "Questo elenco vale per tutto ciò che viene servito in questa degustazione. Se evita qualcosa che non " +
		"vi compare, o se ha un dubbio, chieda al personale prima di assaggiare.",
	AgreeTo:   "A che cosa acconsente",
	TakesOnce: "Dura circa %d minuti.",
	TakesMore: "Dura circa %d minuti in tutto, in %d sedute.",
	Agree:     "Posso mangiare tutto questo e acconsento",
	Decline:   "No, grazie",

	WelcomeBack: "Bentornati",
	WasBegun:    "Ha già iniziato una degustazione su questo telefono.",
	Resume:      "Continuare",
	SomeoneElse: "Un’altra persona assaggia su questo telefono",

	SaidNo: "Grazie di averlo detto",
	DoNotTaste: "Per favore, non assaggi. Di Lei non è stato conservato nulla, se non che una persona in più ha " +
		"detto di no.",
	AlreadyEaten: "Se ne ha già mangiato e non si sente bene, avvisi subito il personale.",
	BackToStart:  "Torna all’inizio",

	WhyNot: "Vuole dire perché?",
	WhyNotText: "Solo se lo desidera, con un tocco. Si conserva soltanto il motivo, per contarlo; nulla " +
		"di Lei.",
	WhyNoTime:    "Non ho tempo",
	WhyCannotEat: "C’è dentro qualcosa che non posso o non voglio mangiare",
	WhyWouldNot:  "Non desidero partecipare",
	WhyOther:     "Un altro motivo",
	WhyThanks:    "Grazie: è stato contato.",
	WhyTellStaff: "È stato soltanto contato, e nessuno della casa è stato avvisato. Se ha un’allergia, lo " +
		"dica al personale prima di mangiare qualsiasi cosa.",

	LastHeading: "Per finire",
	LastText: "Grazie: ha assaggiato tutto, e le Sue valutazioni sono conservate. Da " +
		"qui non si possono più cambiare. Se non lo sa, lo dica.",
	BeforeFirst: "Prima della prima porzione",
	AnswerAsItIs: "Risponda sinceramente, per favore. Può assaggiare qualunque sia la risposta; con alcune " +
		"risposte le Sue valutazioni non si contano.",
	Yes: "Sì",
	No:  "No",

	HowItGoes:    "Come si svolge",
	OneServing:   "C’è una porzione.",
	SomeServings: "Ci sono %d porzioni, una dopo l’altra.",
	OneName:      "Prima legge un nome, quando ancora non è servito nulla, e dice che cosa si aspetta.",
	SomeNames:    "Prima legge %d nomi, quando ancora non è servito nulla, e dice di ciascuno che cosa si aspetta.",
	CheckCode:    "Ogni piatto ha un codice di tre cifre: controlli che quello del Suo sia quello sullo schermo.",
	TypeCodeHow: "Ogni piatto porta un codice di tre cifre. Lo scriva quando ha il Suo davanti: " +
		"allora compaiono le domande.",
	NoWayBack: "Le Sue risposte vengono conservate dopo ogni porzione. Non si può tornare a una precedente.",
	Begin:     "Iniziare",

	SeatNumber: "Lei è l’ospite %d",
	TableSeat:  "Tavolo %d, posto %d",
	AtTable:    "Tavolo %d",
	ScanCard:   "Inquadri il codice con il telefono. Prima gli allergeni, poi qualche domanda.",
	NameOf:     "Prima di assaggiare: nome %d di %d",
	Expect:     "Le verrà servito questo. Prima di assaggiarlo: che cosa si aspetta?",
	ServingOf:  "Porzione %d di %d",
	Code:       "codice",
	CheckPlate: "Il Suo piatto porta il codice %s? Se no, avvisi il personale prima di assaggiare.",
	Replaced: "Il piatto è stato sostituito. Il nuovo codice è ora in questa pagina: lo controlli di nuovo " +
		"prima di assaggiare.",
	OrNumber:    "o un numero, da %s\u00a0a\u00a0%s",
	NotMarked:   "non ancora segnato",
	Marked:      "segnato",
	NoMarkLine:  "Ancora nessun segno: tocchi la linea.",
	StepLower:   "Un passo in meno",
	StepHigher:  "Un passo in più",
	SendOne:     "Inviare questa risposta",
	SendSome:    "Inviare queste %d risposte",
	WrongTitle:  "Risposte mancanti · Degustazione",
	OneWrong:    "Una risposta manca o non è chiara",
	SomeWrong:   "%d risposte mancano o non sono chiare",
	NothingSent: "Non è stato ancora inviato nulla. Quello che ha indicato è qui sotto.",
	NoMark:      "Nessun segno ancora: tocchi la linea o scriva un numero.",
	NoChoice:    "Nessuna risposta ancora: ne scelga una.",
	OffLine:     "Scriva un numero da %s a %s.",
	OffList:     "Scelga una delle risposte.",

	RoundOf:        "Giro %d di %d",
	YourPlates:     "%d piatti uno accanto all’altro",
	TasteInOrder:   "Li assaggi uno dopo l’altro, in quest’ordine.",
	TasteAgain:     "Può assaggiarli di nuovo.",
	TasteOnce:      "Assaggi ognuno una volta sola.",
	CheckPlates:    "Sono questi i codici sui Suoi piatti? Se no, lo dica al personale prima di assaggiare.",
	PaperLine:      "Tracci un segno attraverso la linea.",
	PaperBox:       "Segni una casella.",
	PaperCode:      "Se il Suo piatto porta un altro codice, cancelli questo e scriva l’altro.",
	Compare:        "quello con cui confrontare",
	RankHow:        "Li tocchi in quest’ordine. Tocchi di nuovo per annullare.",
	RankByNumber:   "Dia a ciascuno il suo posto: 1 è il primo.",
	PlaceEarlier:   "Avanti",
	PlaceLater:     "Indietro",
	PlaceOf:        "Posto di %s",
	NoPlace:        "Dia un posto a ciascuno.",
	OnePlace:       "Due hanno lo stesso posto: dia a ciascuno il suo.",
	NoneFits:       "Nessuna di queste parole va bene",
	NoTick:         "Non c’è ancora nessun segno: segni ogni parola che va bene, oppure che nessuna va bene.",
	BothTick:       "Ha segnato delle parole e anche che nessuna va bene: tolga una delle due cose.",
	PaperTick:      "Segni la casella di ogni parola che va bene.",
	PairWith:       "va con uno degli altri",
	OneRound:       "Riceve %d piatti insieme e una domanda su di essi.",
	SomeRounds:     "Ci sono %d giri. In ognuno riceve %d piatti insieme e una domanda su di essi.",
	SecondsToRound: "secondi al giro %d di %d. La pagina continua da sola.",
	AloneFirst:     "Prima assaggia un piatto da solo.",
	OnlyTaste:      "Assaggi questo. Non c’è nulla a cui rispondere.",
	Tasted:         "Ho assaggiato",
	TypeCodes:      "Scriva i codici sui Suoi piatti, con uno spazio tra l’uno e l’altro",
	TypeFirst:      "Scriva le tre cifre sul Suo primo piatto, a sinistra",
	WrongCodes: "Questi non sono i codici dei Suoi prossimi piatti. Controlli le cifre su tutti; se sono " +
		"giuste, lo dica al personale.",

	Pause:       "Una breve pausa",
	AnswersKept: "Le Sue risposte sono conservate.",
	Rinse:       "Si sciacqui la bocca prima della porzione successiva, come dicono le istruzioni.",
	SecondsTo:   "secondi alla porzione %d di %d. La pagina va avanti da sola.",
	GoOn:        "Avanti",

	LargerText:  "Testo più grande",
	UsualText:   "Testo di grandezza normale",
	CommentLong: "Scriva al massimo %d caratteri.",
	ChangeLast:  "Cambiare le mie ultime risposte",
	ChangeNote: "Ciò che invia qui sostituisce ciò che ha inviato prima. Può cambiarlo finché non invia le " +
		"risposte successive.",
	LeaveAsIs: "Lasciarle come sono",
	TooLate:   "Restano le risposte precedenti",
	TooLateText: "La porzione successiva è già stata valutata: le risposte a una precedente non si possono più " +
		"cambiare.",
	TakeOut:    "Cancellare le mie risposte",
	TakeOutAsk: "Cancellare le Sue risposte?",
	TakeOutText: "Tutto ciò che ha risposto viene cancellato per sempre, e non potrà continuare questa " +
		"degustazione. Non deve dare un motivo.",
	TakeOutDo: "Cancellare le mie risposte",
	TakeOutUntil: "Può cancellare le Sue risposte fino al %s, con il pulsante qui sotto o dicendoci il Suo numero. " +
		"Vengono allora cancellate e i risultati si ricalcolano senza di esse.",
	Withdrawn:     "Le Sue risposte sono cancellate",
	WithdrawnText: "Nulla di ciò che ha risposto è conservato. Grazie per la Sua presenza.",
	Left:          "Ha lasciato la degustazione",
	LeftText: "Il personale ha annotato la Sua uscita. Ciò che ha inviato prima è conservato. Se è ancora " +
		"qui, lo dica: può continuare.",
	OtherPhone: "Continuare su un altro telefono",
	OtherPhoneText: "Inquadri questo codice con la fotocamera dell’altro telefono: si riprende da dove è " +
		"arrivato. Se alcune risposte non sono ancora state inviate, lasci acceso questo telefono " +
		"finché non lo sono.",
	OtherPhoneOwn:  "Non mostri questo codice a nessun altro: chi lo apre risponde al posto Suo.",
	OtherPhoneCode: "Codice QR del Suo link personale",
	GiveBack:       "Restituire il tablet",
	GiveBackAsk:    "Restituire il tablet?",
	GiveBackText: "Ciò che ha inviato è conservato. Chi riceverà il tablet dopo di Lei non può vederlo. Se " +
		"vuole continuare più tardi, lo dica a una persona del personale.",
	Stop:     "Fermarmi qui, tenere le mie risposte",
	StopAsk:  "Fermarsi qui?",
	StopText: "Ciò che ha inviato è conservato. Non Le verrà servito altro. Non deve dare un motivo.",
	StopNot:  "Continuare ad assaggiare",
	Stopped:  "La Sua degustazione finisce qui",
	StoppedText: "Ciò che ha inviato prima è conservato. Grazie per la Sua presenza. Se vuole continuare " +
		"comunque, lo dica al personale.",
	Later: "Per ora è tutto",
	LaterText: "La degustazione continua in un’altra seduta, con questo stesso link. Lo conservi, per esempio " +
		"tra i preferiti.",

	KeptHere: "Ciò che ha inserito è conservato su questo telefono. Parte da solo quando torna la rete: lasci " +
		"aperta questa pagina o la riapra più tardi.",
	Received: "Le Sue risposte sono arrivate.",
	Refused: "Alcune risposte sono ancora su questo telefono, ma non sono state accettate. Mostri questa pagina " +
		"al personale.",

	NoNetwork:   "Nessuna rete. Questa pagina continua quando torna.",
	TypeCode:    "Scriva le tre cifre sul Suo piatto",
	TypeWhen:    "Lo faccia quando ha il piatto davanti. Allora compaiono le domande.",
	OpenServing: "Aprire",
	WrongCode: "Non è il codice della Sua prossima porzione. Controlli le cifre sul piatto; se sono giuste, " +
		"avvisi il personale.",
	AllKept:      "Tutte le Sue risposte sono conservate su questo telefono",
	NeedsNetwork: "Per cambiare la lingua o la dimensione del testo, o cancellare le risposte, serve la rete.",

	Found: "Che cosa è emerso",
	FoundHigher: "«%s» In media le risposte erano più alte per %s che per %s. Il caso da solo " +
		"difficilmente lo farebbe.",
	FoundOne:   "Gli ospiti hanno notato una differenza. Il caso da solo difficilmente lo farebbe.",
	FoundSmall: "C’è una differenza, ma così piccola che conta appena.",
	FoundAlike: "Se c’è una differenza, è troppo piccola per contare.",
	FoundOpen:  "Non c’è una risposta chiara: una differenza non è stata né trovata né esclusa.",
	FoundFew: "Hanno partecipato troppo pochi ospiti per avere una risposta. Aiuta comunque a preparare la " +
		"prossima degustazione.",
	YourAnswers: "Le Sue risposte",
	YourMark:    "Lei",
	AllMarks:    "Media di %d ospiti",
	SameAnswer:  "%d ospiti su %d hanno dato questa risposta.",
	SavePicture: "Salva come immagine",
	PictureOnly: "L’immagine mostra le Sue risposte e che cosa è emerso, senza le risposte di nessun altro.",
	StepOf:      "Domanda %d di %d",
	NextOne:     "Avanti",
	EarlierOne:  "Indietro",

	ThankYou: "Grazie",
	TookPart: "Grazie di aver partecipato.",
	OneIn:    "Le Sue risposte sono arrivate.",
	AllIn:    "Le risposte a tutte le %d porzioni sono arrivate.",
	About:    "Di che cosa si trattava",
	Over:     "La degustazione è finita",
	OverEarly: "È stata chiusa prima della Sua ultima porzione. Quello che aveva inviato è conservato. Grazie di " +
		"aver partecipato.",
	LastCall: "La degustazione finisce presto. La preghiamo di finire la porzione che ha davanti.",
	EndsAt: "La degustazione finisce alle %s. La preghiamo di finire la porzione che ha " +
		"davanti: quello che arriva dopo non conta.",
	AfterClose: "Alcune risposte di questo telefono sono arrivate dopo la chiusura della degustazione. Sono tenute " +
		"da parte e non contano nei risultati.",

	Nowhere:     "Questo link non funziona",
	NowhereText: "Inquadri di nuovo il codice sul tavolo o chieda un nuovo link al personale.",
	Full:        "Tutti i posti sono occupati",
	FullText:    "In questa degustazione non ci sono più posti. Grazie di aver voluto partecipare.",
	PlaceFreed:  "Il Suo posto è stato liberato",
	PlaceFreedText: "Non Le era stato ancora servito nulla, perciò il Suo posto è stato liberato per l’ospite " +
		"successivo. Se desidera assaggiare, può partecipare di nuovo.",
	JoinAgain:  "Partecipare di nuovo",
	NotYetOpen: "Questa degustazione non è ancora cominciata",
	NotYetOpenText: "È in anticipo: riapra questa pagina, o scansioni di nuovo il codice, quando il personale Le " +
		"dirà che è cominciata.",
	OldCard: "Questo cartoncino non è più valido",
	OldCardText: "La degustazione è stata pianificata di nuovo, e questo cartoncino appartiene al piano precedente. " +
		"Chieda al personale quello nuovo.",
	NotOpen:     "Questa degustazione non è aperta",
	NotOpenText: "Non è cominciata, o è finita. Il personale può dirglielo.",
	NotWhole:    "Il modulo non è arrivato intero",
	SendAgain:   "Torni indietro e lo invii di nuovo.",
	TooMuch:     "È troppo lungo",
	WriteLess:   "Torni indietro e scriva meno.",
	Foreign:     "Questo modulo viene da un altro sito",
	FromHere:    "Riapra la pagina qui e invii il modulo da quella.",
	OurFault:    "Qualcosa è andato storto da parte nostra",
	TryAgain: "Nulla di ciò che era conservato è andato perso. Riprovi tra un momento; se succede ancora, " +
		"avvisi il personale.",
	TooMany: "In questo momento molte persone si iscrivono da qui",
	TooManyText: "Di questo non è stato conservato nulla. Aspetti un minuto, poi invii di nuovo. Se continua, " +
		"avvisi il personale.",

	WordTitle:  "Ancora una cosa",
	WordWhy:    "Scriva la parola della serata: è sul cartoncino sul tavolo e il personale la conosce.",
	WordWrong:  "Questa non è la parola della serata. Guardi il cartoncino sul tavolo o chieda al personale.",
	WordLabel:  "Parola della serata",
	CannotKeep: "Non possiamo conservarlo in questo momento",
	LeaveOpen: "Nulla di ciò che era conservato è andato perso. Lasci aperta questa pagina, aspetti qualche " +
		"secondo e riprovi.",
	IfItGoesOn: "Se continua, avvisi il personale.",
	SendThis:   "Inviare di nuovo",
	Reference:  "Riferimento per chi gestisce questo servizio:",
}
