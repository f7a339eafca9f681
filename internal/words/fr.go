package words

var french = Words{
	tag: "fr", Name: "Français", Decimal: ",",
	Months: "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
	Day:    "%d %s %d, %s",

	Skip:      "Aller au contenu",
	Note:      "Remarque",
	Invented:  "Ces données sont inventées.",
	Title:     "Dégustation",
	Languages: "Langue",

	NoAllergens: "La cuisine ne signale aucun des 14 allergènes dont le droit européen impose la déclaration " +
		"(règlement (UE) nº 1169/2011).",
	Care: "Allergènes, et si vous ne vous sentez pas bien",
	Unwell: "Si vous ne vous sentez pas bien, arrêtez de goûter et prévenez tout de suite le personnel. Vous " +
		"pouvez arrêter à tout moment, sans donner de raison.",

	Welcome:  "Bienvenue à une dégustation à l’aveugle",
	Contains: "Cette dégustation contient",
	Alcohol:  "Cela contient de l’alcool.",
	AlcoholCare: "Ne goûtez pas si vous n’avez pas l’âge légal pour l’alcool ici, si vous êtes enceinte, si vous " +
		"allez conduire ou si vous prenez un médicament incompatible avec l’alcool.",
	OldEnough: "J’ai %d ans ou plus",
	OfAge:     "J’ai l’âge légal ici pour boire de l’alcool",
	SayAge:    "Cochez cette case si c’est le cas. Sinon, ne goûtez pas, s’il vous plaît.",
	GroupFull: "Il ne reste plus de place pour vous",
	GroupFullText: "Les places qui restent dans cette dégustation sont réservées à d’autres groupes " +
		"de convives. Merci d’avoir voulu y participer.",
	GroupWhy: "Pourquoi cette question\u00a0: elle permet d’équilibrer les groupes de convives. La réponse " +
		"reste enregistrée sous votre numéro, même si vous effacez vos autres réponses.",
	GroupStays: "Ce que vous avez dit de vous en arrivant reste enregistré sous votre numéro\u00a0: " +
		"cela permet d’équilibrer les groupes de convives.",
	AskStaff: "En cas de doute, demandez à la personne qui vous sert.",
	ListCare: "Cette liste vaut pour tout ce qui est servi dans cette dégustation. Si vous évitez quelque chose " +
		"qui n’y figure pas, ou si vous avez un doute, demandez au personnel avant de goûter.",
	AgreeTo:   "Ce que vous acceptez",
	TakesOnce: "Cela prend environ %d minutes.",
	TakesMore: "Cela prend environ %d minutes en tout, en %d séances.",
	Agree:     "Je peux manger de tout cela, et j’accepte",
	Decline:   "Non merci",

	WelcomeBack: "Vous revoilà",
	WasBegun:    "Vous avez déjà commencé une dégustation sur ce téléphone.",
	Resume:      "Continuer",
	SomeoneElse: "Quelqu’un d’autre goûte sur ce téléphone",

	SaidNo: "Merci de l’avoir dit",
	DoNotTaste: "Ne goûtez pas, s’il vous plaît. Rien n’a été conservé à votre sujet, sinon qu’une personne de " +
		"plus a dit non.",
	AlreadyEaten: "Si vous en avez déjà mangé et que vous ne vous sentez pas bien, prévenez tout de suite le " +
		"personnel.",
	BackToStart: "Revenir au début",

	WhyNot: "Voulez-vous dire pourquoi ?",
	WhyNotText: "Seulement si vous le souhaitez, d’une touche. Seule la raison est conservée, pour être " +
		"comptée ; rien sur vous.",
	WhyNoTime:    "Je n’ai pas le temps",
	WhyCannotEat: "Il y a dedans quelque chose que je ne peux pas ou ne veux pas manger",
	WhyWouldNot:  "Je ne souhaite pas participer",
	WhyOther:     "Une autre raison",
	WhyThanks:    "Merci : c’est compté.",
	WhyTellStaff: "Cela a seulement été compté, et personne dans la maison n’en a été averti. Si vous avez " +
		"une allergie, dites-le au personnel avant de manger quoi que ce soit.",

	LastHeading: "Pour finir",
	LastText: "Merci\u00a0: vous avez tout goûté, et vos notes sont gardées. Elles " +
		"ne peuvent plus être changées. Si vous ne savez pas, dites-le.",
	BeforeFirst: "Avant la première portion",
	AnswerAsItIs: "Répondez franchement, s’il vous plaît. Vous pouvez goûter quelle que soit votre réponse\u00a0; " +
		"avec certaines réponses, vos notes ne sont pas comptées.",
	Yes: "Oui",
	No:  "Non",

	HowItGoes:    "Comment cela se passe",
	OneServing:   "Il y a une portion.",
	SomeServings: "Il y a %d portions, l’une après l’autre.",
	OneName:      "Vous lisez d’abord un nom, avant que rien ne soit servi, et vous dites à quoi vous vous attendez.",
	SomeNames: "Vous lisez d’abord %d noms, avant que rien ne soit servi, et vous dites pour chacun à quoi vous " +
		"vous attendez.",
	CheckCode: "Chaque assiette porte un code à trois chiffres\u00a0: vérifiez que celui de la vôtre est celui de " +
		"l’écran.",
	TypeCodeHow: "Chaque assiette porte un code à trois chiffres. Tapez-le quand elle est devant " +
		"vous\u00a0: les questions viennent alors.",
	NoWayBack: "Vos réponses sont conservées après chaque portion. Vous ne pouvez pas revenir à une portion " +
		"précédente.",
	Begin: "Commencer",

	SeatNumber: "Vous êtes le convive %d",
	TableSeat:  "Table %d, place %d",
	AtTable:    "Table n° %d",
	ScanCard:   "Scannez le code avec votre téléphone. D’abord les allergènes, puis quelques questions.",
	NameOf:     "Avant de goûter\u00a0: nom %d sur %d",
	Expect:     "Voici ce qui vous sera servi. Avant de goûter\u00a0: à quoi vous attendez-vous\u00a0?",
	ServingOf:  "Portion %d sur %d",
	Code:       "code",
	CheckPlate: "Votre assiette porte-t-elle le code %s\u00a0? Sinon, prévenez le personnel avant de goûter.",
	Replaced: "L’assiette a été remplacée. Son nouveau code figure sur cette page\u00a0: vérifiez-le avant de " +
		"goûter.",
	OrNumber:    "ou un nombre, de %s\u00a0à\u00a0%s",
	NotMarked:   "pas encore de marque",
	Marked:      "marqué",
	NoMarkLine:  "Pas encore de marque : touchez la ligne.",
	StepLower:   "Un pas de moins",
	StepHigher:  "Un pas de plus",
	SendOne:     "Envoyer cette réponse",
	SendSome:    "Envoyer ces %d réponses",
	WrongTitle:  "Réponses manquantes · Dégustation",
	OneWrong:    "Une réponse manque ou n’est pas claire",
	SomeWrong:   "%d réponses manquent ou ne sont pas claires",
	NothingSent: "Rien n’a encore été envoyé. Ce que vous avez donné figure ci-dessous.",
	NoMark:      "Pas encore de marque\u00a0: touchez la ligne ou écrivez un nombre.",
	NoChoice:    "Pas encore de réponse\u00a0: choisissez-en une.",
	OffLine:     "Écrivez un nombre de %s à %s.",
	OffList:     "Choisissez une des réponses.",

	RoundOf:        "Série %d sur %d",
	YourPlates:     "%d assiettes côte à côte",
	TasteInOrder:   "Goûtez-les l’une après l’autre, dans cet ordre.",
	TasteAgain:     "Vous pouvez les goûter de nouveau.",
	TasteOnce:      "Ne goûtez chacune qu’une seule fois.",
	CheckPlates:    "Ces codes sont-ils ceux de vos assiettes ? Sinon, dites-le au personnel avant de goûter.",
	PaperLine:      "Tracez un trait en travers de la ligne.",
	PaperBox:       "Cochez une case.",
	PaperCode:      "Si votre assiette porte un autre code, barrez celui-ci et écrivez l’autre.",
	Compare:        "celle à laquelle comparer",
	RankHow:        "Touchez-les dans cet ordre. Touchez de nouveau pour annuler.",
	RankByNumber:   "Donnez à chacun sa place\u00a0: 1 est la première.",
	PlaceEarlier:   "Avancer",
	PlaceLater:     "Reculer",
	PlaceOf:        "Place de %s",
	NoPlace:        "Donnez une place à chacun.",
	OnePlace:       "Deux ont la même place\u00a0: donnez à chacun la sienne.",
	NoneFits:       "Aucun de ces mots ne convient",
	NoTick:         "Rien n’est encore coché\u00a0: cochez chaque mot qui convient, ou qu’aucun ne convient.",
	BothTick:       "Vous avez coché des mots, et qu’aucun ne convient\u00a0: retirez l’un des deux.",
	PaperTick:      "Cochez la case de chaque mot qui convient.",
	PairWith:       "va avec un des autres",
	OneRound:       "Vous recevez %d assiettes à la fois, et une question à leur sujet.",
	SomeRounds:     "Il y a %d séries. À chacune, vous recevez %d assiettes à la fois, et une question à leur sujet.",
	SecondsToRound: "secondes avant la série %d sur %d. La page continue d’elle-même.",
	AloneFirst:     "D’abord, vous goûtez une assiette seule.",
	OnlyTaste:      "Goûtez ceci. Il n’y a rien à répondre.",
	Tasted:         "J’ai goûté",
	TypeCodes:      "Tapez les codes de vos assiettes, séparés par une espace",
	TypeFirst:      "Tapez les trois chiffres de votre première assiette, à gauche",
	WrongCodes: "Ce ne sont pas les codes de vos prochaines assiettes. Vérifiez les chiffres de chacune ; " +
		"s’ils sont exacts, dites-le au personnel.",

	Pause:       "Une courte pause",
	AnswersKept: "Vos réponses sont conservées.",
	Rinse:       "Rincez-vous la bouche avant la portion suivante, comme le disent les consignes.",
	SecondsTo:   "secondes avant la portion %d sur %d. La page continue d’elle-même.",
	GoOn:        "Continuer",

	LargerText:  "Texte plus grand",
	UsualText:   "Texte de taille habituelle",
	CommentLong: "Écrivez au plus %d caractères.",
	ChangeLast:  "Modifier mes dernières réponses",
	ChangeNote: "Ce que vous envoyez ici remplace ce que vous avez envoyé. Vous pouvez le modifier jusqu’à " +
		"l’envoi des réponses suivantes.",
	LeaveAsIs: "Les laisser telles quelles",
	TooLate:   "Les réponses précédentes restent",
	TooLateText: "La portion suivante a déjà été évaluée\u00a0: les réponses à une portion antérieure ne peuvent " +
		"plus changer.",
	TakeOut:    "Effacer mes réponses",
	TakeOutAsk: "Effacer vos réponses\u00a0?",
	TakeOutText: "Tout ce que vous avez répondu est effacé pour de bon, et vous ne pouvez pas continuer cette " +
		"dégustation. Vous n’avez pas à donner de raison.",
	TakeOutDo: "Effacer mes réponses",
	TakeOutUntil: "Vous pouvez faire effacer vos réponses jusqu’au %s, avec le bouton ci-dessous ou en nous donnant " +
		"votre numéro. Elles sont alors effacées, et les résultats sont recalculés sans elles.",
	Withdrawn:     "Vos réponses sont effacées",
	WithdrawnText: "Rien de ce que vous avez répondu n’est conservé. Merci de votre présence.",
	Left:          "Vous avez quitté la dégustation",
	LeftText: "Le personnel a noté votre départ. Ce que vous aviez envoyé est conservé. Si vous êtes encore " +
		"là, dites-le-lui\u00a0: vous pouvez continuer.",
	OtherPhone: "Continuer sur un autre téléphone",
	OtherPhoneText: "Dirigez l’appareil photo de l’autre téléphone vers ce code\u00a0: il reprend là où vous " +
		"en êtes. Si des réponses n’ont pas encore été envoyées, laissez ce téléphone allumé " +
		"jusqu’à ce qu’elles le soient.",
	OtherPhoneOwn:  "Ne montrez ce code à personne d’autre\u00a0: qui l’ouvre répond à votre place.",
	OtherPhoneCode: "Code QR de votre lien personnel",
	GiveBack:       "Rendre la tablette",
	GiveBackAsk:    "Rendre la tablette\u00a0?",
	GiveBackText: "Ce que vous avez envoyé est conservé. La personne qui aura la tablette ensuite ne peut pas " +
		"le voir. Si vous voulez continuer plus tard, dites-le à un membre du personnel.",
	Stop:    "Arrêter ici, garder mes réponses",
	StopAsk: "Arrêter ici\u00a0?",
	StopText: "Ce que vous avez envoyé est conservé. Plus rien ne vous sera servi. Vous n’avez pas à donner " +
		"de raison.",
	StopNot: "Continuer à goûter",
	Stopped: "Vous avez arrêté",
	StoppedText: "Ce que vous aviez envoyé est conservé. Merci de votre présence. Si vous voulez tout de même " +
		"continuer, dites-le au personnel.",
	Later: "C’est tout pour l’instant",
	LaterText: "La dégustation continue lors d’une prochaine séance, avec ce même lien. Gardez-le, par exemple " +
		"dans vos favoris.",

	KeptHere: "Ce que vous avez saisi est gardé sur ce téléphone. L’envoi se fait de lui-même au retour du " +
		"réseau\u00a0: laissez cette page ouverte, ou rouvrez-la plus tard.",
	Received: "Vos réponses ont été reçues.",
	Refused: "Des réponses sont encore gardées sur ce téléphone, mais n’ont pas été acceptées. Montrez cette page " +
		"au personnel.",

	NoNetwork:   "Pas de réseau. Cette page continue dès son retour.",
	TypeCode:    "Tapez les trois chiffres de votre assiette",
	TypeWhen:    "Faites-le quand l’assiette est devant vous. Les questions viennent alors.",
	OpenServing: "Ouvrir",
	WrongCode: "Ce n’est pas le code de votre prochaine portion. Vérifiez les chiffres sur l’assiette\u00a0; " +
		"s’ils sont justes, prévenez le personnel.",
	AllKept:      "Toutes vos réponses sont gardées sur ce téléphone",
	NeedsNetwork: "Pour changer la langue ou la taille du texte, ou effacer vos réponses, il faut le réseau.",

	Found: "Ce qui a été trouvé",
	FoundHigher: "« %s » En moyenne, les réponses étaient plus hautes pour %s que pour %s. Le hasard seul " +
		"ne le ferait guère.",
	FoundOne:   "Les convives ont remarqué une différence. Le hasard seul ne le ferait guère.",
	FoundSmall: "Il y a une différence, mais si petite qu’elle ne compte guère.",
	FoundAlike: "S’il y a une différence, elle est trop petite pour compter.",
	FoundOpen:  "Il n’y a pas de réponse claire : une différence n’a été ni trouvée ni exclue.",
	FoundFew: "Trop peu de convives ont participé pour répondre. Cela aide tout de même à préparer la " +
		"prochaine dégustation.",
	YourAnswers: "Vos réponses",
	YourMark:    "Vous",
	AllMarks:    "Moyenne de %d convives",
	SameAnswer:  "%d convives sur %d ont donné cette réponse.",
	SavePicture: "Enregistrer une image",
	PictureOnly: "L’image montre vos propres réponses et ce qui a été trouvé, sans les réponses de " +
		"personne d’autre.",
	StepOf:     "Question %d sur %d",
	NextOne:    "Suivante",
	EarlierOne: "Retour",

	ThankYou: "Merci",
	TookPart: "Merci de votre participation.",
	OneIn:    "Vos réponses sont arrivées.",
	AllIn:    "Les réponses aux %d portions sont arrivées.",
	About:    "De quoi il s’agissait",
	Over:     "La dégustation est terminée",
	OverEarly: "Elle a été close avant votre dernière portion. Ce que vous aviez envoyé est conservé. Merci de " +
		"votre participation.",
	LastCall: "La dégustation se termine bientôt. Merci de terminer la portion qui est devant vous.",
	EndsAt: "La dégustation se termine à %s. Merci de terminer la portion qui est devant " +
		"vous\u00a0: ce qui arrive plus tard ne compte pas.",
	AfterClose: "Des réponses de ce téléphone sont arrivées après la clôture de la dégustation. Elles sont mises " +
		"de côté et ne comptent pas dans les résultats.",

	Nowhere:     "Ce lien ne fonctionne pas",
	NowhereText: "Scannez de nouveau le code sur votre table, ou demandez un nouveau lien au personnel.",
	Full:        "Toutes les places sont prises",
	FullText:    "Il ne reste plus de place dans cette dégustation. Merci d’avoir voulu y participer.",
	PlaceFreed:  "Votre place a été libérée",
	PlaceFreedText: "Rien ne vous avait encore été servi ; votre place a donc été libérée pour la personne " +
		"suivante. Si vous souhaitez déguster, vous pouvez participer de nouveau.",
	JoinAgain:  "Participer de nouveau",
	NotYetOpen: "Cette dégustation n’a pas encore commencé",
	NotYetOpenText: "Vous êtes en avance : rouvrez cette page, ou scannez de nouveau le code, quand le personnel " +
		"vous dira qu’elle a commencé.",
	OldCard: "Cette carte n’est plus valable",
	OldCardText: "La dégustation a été replanifiée, et cette carte appartient à l’ancien plan. Demandez la " +
		"nouvelle carte au personnel.",
	NotOpen:     "Cette dégustation n’est pas ouverte",
	NotOpenText: "Elle n’a pas commencé, ou elle est terminée. Le personnel peut vous le dire.",
	NotWhole:    "Le formulaire n’est pas arrivé entier",
	SendAgain:   "Revenez en arrière et envoyez-le de nouveau.",
	TooMuch:     "C’est trop long",
	WriteLess:   "Revenez en arrière et écrivez moins.",
	Foreign:     "Ce formulaire vient d’un autre site",
	FromHere:    "Rouvrez la page ici et envoyez le formulaire depuis celle-ci.",
	OurFault:    "Quelque chose n’a pas marché de notre côté",
	TryAgain: "Rien de ce qui était conservé n’est perdu. Réessayez dans un instant\u00a0; si cela se " +
		"répète, prévenez le personnel.",
	TooMany: "Beaucoup de personnes s’inscrivent d’ici en ce moment",
	TooManyText: "Rien n’en a été conservé. Attendez une minute, puis envoyez de nouveau. Si cela dure, " +
		"prévenez le personnel.",

	WordTitle:  "Encore une chose",
	WordWhy:    "Écrivez le mot de la soirée : il est sur la carte posée sur la table, et le personnel le connaît.",
	WordWrong:  "Ce n’est pas le mot de la soirée. Regardez la carte posée sur la table ou demandez au personnel.",
	WordLabel:  "Mot de la soirée",
	CannotKeep: "Nous ne pouvons pas conserver cela pour le moment",
	LeaveOpen: "Rien de ce qui était conservé n’est perdu. Laissez cette page ouverte, attendez quelques secondes " +
		"et réessayez.",
	IfItGoesOn: "Si cela dure, prévenez le personnel.",
	SendThis:   "Envoyer de nouveau",
	Reference:  "Référence pour la personne qui gère ce service\u00a0:",
}
