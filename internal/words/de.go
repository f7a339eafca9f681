package words

var german = Words{
	tag: "de", Name: "Deutsch", Decimal: ",",
	Months: "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
	Day:    "%d. %s %d, %s",

	Skip:      "Zum Hauptteil springen",
	Note:      "Hinweis",
	Invented:  "Diese Daten sind erfunden.",
	Title:     "Verkostung",
	Languages: "Sprache",

	NoAllergens: "Die Küche nennt keines der 14 Allergene, die nach europäischem Recht anzugeben sind (Verordnung " +
		"(EU) Nr. 1169/2011).",
	Care: "Allergene und Unwohlsein",
	Unwell: "Wenn Ihnen nicht wohl ist, hören Sie auf zu kosten und sagen Sie es sofort dem Personal. Sie " +
		"können jederzeit aufhören, ohne einen Grund zu nennen.",

	Welcome:  "Willkommen zu einer Blindverkostung",
	Contains: "Diese Verkostung enthält",
	Alcohol:  "Es enthält Alkohol.",
	AlcoholCare: "Kosten Sie nicht, wenn Sie unter dem hier geltenden Mindestalter für Alkohol sind, schwanger " +
		"sind, noch fahren wollen oder Medikamente nehmen, die sich damit nicht vertragen.",
	OldEnough: "Ich bin %d Jahre alt oder älter",
	OfAge:     "Ich bin nach dem hier geltenden Recht alt genug für Alkohol",
	SayAge:    "Setzen Sie hier ein Häkchen, wenn das stimmt. Wenn nicht, kosten Sie bitte nicht.",
	GroupFull: "Für Sie ist kein Platz mehr frei",
	GroupFullText: "Die Plätze, die in dieser Verkostung noch frei sind, sind anderen Gruppen von " +
		"Gästen vorbehalten. Danke, dass Sie teilnehmen wollten.",
	GroupWhy: "Warum wir fragen: Damit bleiben Gruppen von Gästen gleichmäßig besetzt. Die Antwort bleibt " +
		"unter Ihrer Nummer gespeichert, auch wenn Sie Ihre übrigen Antworten löschen.",
	GroupStays: "Was Sie zu Beginn über sich gesagt haben, bleibt unter Ihrer Nummer gespeichert: Damit " +
		"bleiben Gruppen von Gästen gleichmäßig besetzt.",
	AskStaff: "Wenn Sie nicht sicher sind, fragen Sie, wer Sie bedient.",
	ListCare: "Diese Liste gilt für alles, was in dieser Verkostung serviert wird. Wenn Sie etwas meiden, das " +
		"hier nicht steht, oder unsicher sind, fragen Sie das Personal, bevor Sie kosten.",
	AgreeTo:   "Worin Sie einwilligen",
	TakesOnce: "Es dauert etwa %d Minuten.",
	TakesMore: "Es dauert insgesamt etwa %d Minuten, an %d Terminen.",
	Agree:     "Ich kann das alles essen und willige ein",
	Decline:   "Nein, danke",

	WelcomeBack: "Willkommen zurück",
	WasBegun:    "Sie haben auf diesem Telefon schon eine Verkostung begonnen.",
	Resume:      "Weitermachen",
	SomeoneElse: "Jemand anderes kostet auf diesem Telefon",

	SaidNo: "Danke, dass Sie es sagen",
	DoNotTaste: "Bitte kosten Sie nicht. Über Sie wurde nichts aufbewahrt, nur dass " +
		"eine Person mehr Nein gesagt hat.",
	AlreadyEaten: "Wenn Sie schon davon gegessen haben und Ihnen nicht wohl ist, sagen Sie es sofort dem Personal.",
	BackToStart:  "Zurück zum Anfang",

	WhyNot: "Möchten Sie sagen, warum?",
	WhyNotText: "Nur wenn Sie mögen, mit einem Tippen. Aufbewahrt wird allein der Grund, um ihn zu " +
		"zählen; nichts über Sie.",
	WhyNoTime:    "Ich habe keine Zeit",
	WhyCannotEat: "Es ist etwas darin, das ich nicht essen kann oder nicht esse",
	WhyWouldNot:  "Ich möchte nicht teilnehmen",
	WhyOther:     "Ein anderer Grund",
	WhyThanks:    "Danke: Es wurde gezählt.",
	WhyTellStaff: "Es wurde nur gezählt, und niemand im Haus hat davon erfahren. Wenn Sie eine Allergie " +
		"haben, sagen Sie es dem Personal, bevor Sie etwas essen.",

	LastHeading: "Zum Schluss",
	LastText: "Danke: Sie haben alles gekostet, und Ihre Bewertungen sind aufbewahrt. Sie lassen " +
		"sich nun nicht mehr ändern. Wenn Sie es nicht wissen, sagen Sie das.",
	BeforeFirst: "Vor der ersten Portion",
	AnswerAsItIs: "Bitte antworten Sie ehrlich. Sie dürfen in jedem Fall kosten; bei manchen Antworten zählen Ihre " +
		"Bewertungen nicht mit.",
	Yes: "Ja",
	No:  "Nein",

	HowItGoes:    "So läuft es ab",
	OneServing:   "Es gibt eine Portion.",
	SomeServings: "Es gibt %d Portionen, eine nach der anderen.",
	OneName:      "Zuerst lesen Sie einen Namen, bevor etwas serviert wird, und sagen, was Sie erwarten.",
	SomeNames:    "Zuerst lesen Sie %d Namen, bevor etwas serviert wird, und sagen zu jedem, was Sie erwarten.",
	CheckCode: "Jeder Teller hat einen dreistelligen Code: Vergleichen Sie den auf Ihrem mit dem auf dem " +
		"Bildschirm.",
	TypeCodeHow: "Jeder Teller trägt einen dreistelligen Code. Tippen Sie ihn ein, sobald der Teller vor " +
		"Ihnen steht: Dann kommen die Fragen dazu.",
	NoWayBack: "Ihre Antworten werden nach jeder Portion aufbewahrt. Zu einer früheren können Sie nicht zurück.",
	Begin:     "Beginnen",

	SeatNumber: "Sie sind Gast %d",
	TableSeat:  "Tisch %d, Platz %d",
	AtTable:    "Tisch %d",
	ScanCard:   "Scannen Sie den Code mit Ihrem Telefon. Zuerst kommen die Allergene, dann ein paar Fragen.",
	NameOf:     "Vor dem Kosten: Name %d von %d",
	Expect:     "Das wird Ihnen serviert. Was erwarten Sie, bevor Sie es kosten?",
	ServingOf:  "Portion %d von %d",
	Code:       "Code",
	CheckPlate: "Steht auf Ihrem Teller %s? Wenn nicht, sagen Sie es dem Personal, bevor Sie kosten.",
	Replaced: "Der Teller wurde ersetzt. Sein neuer Code steht jetzt auf dieser Seite: Vergleichen Sie ihn noch " +
		"einmal, bevor Sie kosten.",
	OrNumber:    "oder eine Zahl, %s\u00a0bis\u00a0%s",
	NotMarked:   "noch nicht markiert",
	Marked:      "markiert",
	NoMarkLine:  "Noch keine Markierung: Tippen Sie auf die Linie.",
	StepLower:   "Einen Schritt niedriger",
	StepHigher:  "Einen Schritt höher",
	SendOne:     "Diese Antwort senden",
	SendSome:    "Diese %d Antworten senden",
	WrongTitle:  "Antworten fehlen · Verkostung",
	OneWrong:    "Eine Antwort fehlt oder ist nicht klar",
	SomeWrong:   "%d Antworten fehlen oder sind nicht klar",
	NothingSent: "Noch wurde nichts gesendet. Was Sie angegeben haben, steht unten.",
	NoMark:      "Noch keine Markierung: Tippen Sie auf die Linie oder schreiben Sie eine Zahl.",
	NoChoice:    "Noch keine Antwort: Wählen Sie eine.",
	OffLine:     "Schreiben Sie eine Zahl von %s bis %s.",
	OffList:     "Wählen Sie eine der Antworten.",

	RoundOf:        "Runde %d von %d",
	YourPlates:     "%d Teller nebeneinander",
	TasteInOrder:   "Kosten Sie einen nach dem anderen, in dieser Reihenfolge.",
	TasteAgain:     "Sie dürfen noch einmal kosten.",
	TasteOnce:      "Kosten Sie jeden nur ein einziges Mal.",
	CheckPlates:    "Stehen diese Codes auf Ihren Tellern? Wenn nicht, sagen Sie es dem Personal, bevor Sie kosten.",
	PaperLine:      "Machen Sie einen Strich durch die Linie.",
	PaperBox:       "Kreuzen Sie ein Kästchen an.",
	PaperCode:      "Trägt Ihr Teller einen anderen Code, streichen Sie diesen durch und schreiben Sie jenen hin.",
	Compare:        "damit wird verglichen",
	RankHow:        "Tippen Sie sie in dieser Reihenfolge an. Noch einmal antippen nimmt eine zurück.",
	RankByNumber:   "Geben Sie jeder ihren Platz: 1 ist der erste.",
	PlaceEarlier:   "Weiter vor",
	PlaceLater:     "Weiter zurück",
	PlaceOf:        "Platz von %s",
	NoPlace:        "Geben Sie jeder einen Platz.",
	OnePlace:       "Zwei haben denselben Platz: Geben Sie jeder ihren eigenen.",
	NoneFits:       "Keines dieser Wörter passt",
	NoTick:         "Noch ist nichts angekreuzt: Kreuzen Sie jedes Wort an, das passt, oder dass keines passt.",
	BothTick:       "Sie haben Wörter angekreuzt und auch, dass keines passt: Nehmen Sie eines von beidem zurück.",
	PaperTick:      "Kreuzen Sie bei jedem Wort, das passt, das Kästchen an.",
	PairWith:       "gehört zu einer der anderen",
	OneRound:       "Sie bekommen %d Teller auf einmal und dazu eine Frage.",
	SomeRounds:     "Es gibt %d Runden. In jeder bekommen Sie %d Teller auf einmal und dazu eine Frage.",
	SecondsToRound: "Sekunden bis zur Runde %d von %d. Die Seite geht von selbst weiter.",
	AloneFirst:     "Zuerst kosten Sie einen Teller für sich.",
	OnlyTaste:      "Kosten Sie das. Zu beantworten ist nichts.",
	Tasted:         "Ich habe gekostet",
	TypeCodes:      "Tippen Sie die Codes auf Ihren Tellern ein, mit einem Leerzeichen dazwischen",
	TypeFirst:      "Tippen Sie die drei Ziffern auf Ihrem ersten Teller ein, links",
	WrongCodes: "Das sind nicht die Codes Ihrer nächsten Teller. Prüfen Sie die Ziffern auf allen; stimmen " +
		"sie, sagen Sie dem Personal Bescheid.",

	Pause:       "Eine kurze Pause",
	AnswersKept: "Ihre Antworten sind aufbewahrt.",
	Rinse:       "Spülen Sie vor der nächsten Portion den Mund, wie es in der Anleitung steht.",
	SecondsTo:   "Sekunden bis zur Portion %d von %d. Die Seite geht von selbst weiter.",
	GoOn:        "Weiter",

	LargerText:  "Größere Schrift",
	UsualText:   "Übliche Schriftgröße",
	CommentLong: "Schreiben Sie höchstens %d Zeichen.",
	ChangeLast:  "Meine letzten Antworten ändern",
	ChangeNote: "Was Sie hier senden, ersetzt, was Sie zuvor gesendet haben. Ändern können Sie es, bis Sie die " +
		"nächsten Antworten senden.",
	LeaveAsIs: "So lassen, wie sie sind",
	TooLate:   "Die früheren Antworten bleiben",
	TooLateText: "Die nächste Portion wurde schon bewertet; Antworten zu einer früheren lassen sich nicht mehr " +
		"ändern.",
	TakeOut:    "Meine Antworten löschen",
	TakeOutAsk: "Ihre Antworten löschen?",
	TakeOutText: "Alles, was Sie geantwortet haben, wird endgültig gelöscht, und Sie können diese Verkostung " +
		"nicht fortsetzen. Einen Grund brauchen Sie nicht zu nennen.",
	TakeOutDo: "Meine Antworten löschen",
	TakeOutUntil: "Sie können Ihre Antworten bis zum %s löschen lassen: mit dem Knopf unten, oder indem Sie uns " +
		"Ihre Nummer sagen. Sie werden dann gelöscht, und das Ergebnis wird ohne sie neu berechnet.",
	Withdrawn:     "Ihre Antworten sind gelöscht",
	WithdrawnText: "Nichts von dem, was Sie geantwortet haben, ist aufbewahrt. Danke, dass Sie da waren.",
	Left:          "Sie haben die Verkostung verlassen",
	LeftText: "Das Personal hat vermerkt, dass Sie gegangen sind. Was Sie vorher gesendet haben, ist " +
		"aufbewahrt. Sind Sie noch da, sagen Sie Bescheid: Sie können weitermachen.",
	OtherPhone: "Auf einem anderen Telefon weitermachen",
	OtherPhoneText: "Richten Sie die Kamera des anderen Telefons auf diesen Code: Dort geht es weiter, wo Sie " +
		"jetzt sind. Wenn Antworten noch nicht gesendet sind, lassen Sie dieses Telefon an, bis " +
		"das geschehen ist.",
	OtherPhoneOwn:  "Zeigen Sie diesen Code sonst niemandem: Wer ihn öffnet, antwortet an Ihrer Stelle.",
	OtherPhoneCode: "QR-Code Ihres eigenen Links",
	GiveBack:       "Das Tablet zurückgeben",
	GiveBackAsk:    "Das Tablet zurückgeben?",
	GiveBackText: "Was Sie gesendet haben, bleibt erhalten. Wer das Tablet als Nächstes bekommt, kann es nicht " +
		"sehen. Wenn Sie später weitermachen möchten, sagen Sie es jemandem vom Service.",
	Stop:    "Hier aufhören, Antworten behalten",
	StopAsk: "Hier aufhören?",
	StopText: "Was Sie gesendet haben, bleibt aufbewahrt. Es wird Ihnen nichts mehr serviert. Einen Grund " +
		"brauchen Sie nicht zu nennen.",
	StopNot: "Weiter kosten",
	Stopped: "Sie haben aufgehört",
	StoppedText: "Was Sie vorher gesendet haben, ist aufbewahrt. Danke, dass Sie da waren. Wenn Sie doch " +
		"weitermachen möchten, sagen Sie es dem Personal.",
	Later: "Das war alles für jetzt",
	LaterText: "Die Verkostung geht bei einem späteren Termin weiter, unter demselben Link. Bewahren Sie ihn " +
		"auf, zum Beispiel als Lesezeichen.",

	KeptHere: "Was Sie eingegeben haben, ist auf diesem Telefon aufbewahrt. Es wird von selbst gesendet, sobald " +
		"das Netz wieder da ist: Lassen Sie diese Seite offen oder öffnen Sie sie später wieder.",
	Received: "Ihre Antworten sind angekommen.",
	Refused: "Einige Antworten liegen noch auf diesem Telefon, wurden aber nicht angenommen. Zeigen Sie diese " +
		"Seite dem Personal.",

	NoNetwork:   "Kein Netz. Diese Seite geht weiter, sobald es wieder da ist.",
	TypeCode:    "Tippen Sie die drei Ziffern auf Ihrem Teller ein",
	TypeWhen:    "Tun Sie das, sobald der Teller vor Ihnen steht. Dann kommen die Fragen.",
	OpenServing: "Öffnen",
	WrongCode: "Das ist nicht der Code Ihrer nächsten Portion. Prüfen Sie die Ziffern auf dem Teller; stimmen " +
		"sie, sagen Sie dem Personal Bescheid.",
	AllKept: "Alle Ihre Antworten sind auf diesem Telefon aufbewahrt",
	NeedsNetwork: "Um die Sprache oder die Textgröße zu ändern oder Ihre Antworten zu löschen, braucht es das " +
		"Netz.",

	Found: "Was herauskam",
	FoundHigher: "„%s“ Im Mittel lagen die Antworten bei %s höher als bei %s. Durch Zufall allein käme das " +
		"kaum so.",
	FoundOne:   "Die Gäste haben einen Unterschied bemerkt. Durch Zufall allein käme das kaum so.",
	FoundSmall: "Es gibt einen Unterschied, aber er ist so klein, dass er kaum zählt.",
	FoundAlike: "Falls es einen Unterschied gibt, ist er zu klein, um zu zählen.",
	FoundOpen:  "Es gibt keine klare Antwort: Ein Unterschied wurde weder gefunden noch ausgeschlossen.",
	FoundFew: "Für eine Antwort haben zu wenige Gäste teilgenommen. Es hilft trotzdem, die nächste " +
		"Verkostung zu planen.",
	YourAnswers: "Ihre Antworten",
	YourMark:    "Sie",
	AllMarks:    "Mittel von %d Gästen",
	SameAnswer:  "%d von %d Gästen gaben diese Antwort.",
	SavePicture: "Als Bild speichern",
	PictureOnly: "Das Bild zeigt Ihre eigenen Antworten und was herauskam, aber keine Antworten von anderen.",
	StepOf:      "Frage %d von %d",
	NextOne:     "Weiter",
	EarlierOne:  "Zurück",

	ThankYou: "Danke",
	TookPart: "Danke, dass Sie teilgenommen haben.",
	OneIn:    "Ihre Antworten sind da.",
	AllIn:    "Die Antworten zu allen %d Portionen sind da.",
	About:    "Worum es ging",
	Over:     "Die Verkostung ist vorbei",
	OverEarly: "Sie wurde vor Ihrer letzten Portion geschlossen. Was Sie vorher gesendet haben, ist aufbewahrt. " +
		"Danke, dass Sie teilgenommen haben.",
	LastCall: "Die Verkostung endet bald. Bitte bewerten Sie noch die Portion, die vor Ihnen steht.",
	EndsAt: "Die Verkostung endet um %s Uhr. Bitte bewerten Sie noch die Portion, die vor Ihnen " +
		"steht: Was später eintrifft, zählt nicht.",
	AfterClose: "Antworten von diesem Telefon kamen an, nachdem die Verkostung geschlossen war. Sie werden " +
		"getrennt aufbewahrt und zählen nicht zum Ergebnis.",

	Nowhere: "Dieser Link funktioniert nicht",
	NowhereText: "Scannen Sie den Code auf Ihrem Tisch noch einmal oder bitten Sie das Personal um einen neuen " +
		"Link.",
	Full:       "Alle Plätze sind vergeben",
	FullText:   "In dieser Verkostung ist kein Platz mehr frei. Danke, dass Sie teilnehmen wollten.",
	PlaceFreed: "Ihr Platz wurde frei gemacht",
	PlaceFreedText: "Ihnen war noch nichts serviert worden, deshalb wurde Ihr Platz für den nächsten Gast frei " +
		"gemacht. Wenn Sie verkosten möchten, können Sie noch einmal teilnehmen.",
	JoinAgain:  "Noch einmal teilnehmen",
	NotYetOpen: "Diese Verkostung hat noch nicht begonnen",
	NotYetOpenText: "Sie sind früh dran: Öffnen Sie diese Seite noch einmal oder scannen Sie den Code noch einmal, " +
		"wenn das Personal sagt, dass es losgeht.",
	OldCard: "Diese Karte gilt nicht mehr",
	OldCardText: "Die Verkostung wurde neu geplant, und diese Karte gehört zum früheren Plan. Fragen Sie das " +
		"Personal nach der neuen Karte.",
	NotOpen:     "Diese Verkostung ist nicht offen",
	NotOpenText: "Sie hat noch nicht begonnen oder ist vorbei. Das Personal kann es Ihnen sagen.",
	NotWhole:    "Das Formular ist nicht ganz angekommen",
	SendAgain:   "Gehen Sie zurück und senden Sie es noch einmal.",
	TooMuch:     "Das ist zu viel",
	WriteLess:   "Gehen Sie zurück und schreiben Sie weniger.",
	Foreign:     "Dieses Formular kam von einer anderen Website",
	FromHere:    "Öffnen Sie die Seite hier noch einmal und senden Sie das Formular von dort.",
	OurFault:    "Bei uns ist etwas schiefgegangen",
	TryAgain: "Was schon aufbewahrt war, ist nicht verloren. Versuchen Sie es gleich noch einmal; wenn es " +
		"wieder geschieht, sagen Sie es dem Personal.",
	TooMany: "Gerade melden sich von hier aus sehr viele Personen an",
	TooManyText: "Davon wurde nichts aufbewahrt. Warten Sie eine Minute und senden Sie es dann noch einmal. " +
		"Wenn es so bleibt, sagen Sie es dem Personal.",

	WordTitle: "Noch etwas",
	WordWhy:   "Geben Sie das Wort des Abends ein: Es steht auf der Karte am Tisch, und das Personal kennt es.",
	WordWrong: "Das ist nicht das Wort des Abends. Sehen Sie auf der Karte am Tisch nach oder fragen Sie das " +
		"Personal.",
	WordLabel:  "Wort des Abends",
	CannotKeep: "Wir können das im Moment nicht aufbewahren",
	LeaveOpen: "Was schon aufbewahrt war, ist nicht verloren. Lassen Sie diese Seite offen, warten Sie einige " +
		"Sekunden und versuchen Sie es noch einmal.",
	IfItGoesOn: "Wenn es so bleibt, sagen Sie es dem Personal.",
	SendThis:   "Noch einmal senden",
	Reference:  "Nummer für die Person, die diesen Dienst betreibt:",
}
