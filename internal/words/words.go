package words

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Words are the words of one language. Where a field holds verbs (%d, %s) its
// comment says for what; each language has the same verbs in the same order.
type Words struct {
	tag     string // BCP 47
	Name    string // of the language, in itself
	Decimal string // between whole and tenths
	Months  string // twelve, with a space between
	Day     string // %d of the month, %s the month, %d the year, %s the time of day with its zone

	// Every page.
	Skip      string
	Note      string // label of what follows
	Invented  string
	Title     string // says nothing of the study
	Languages string // label of the links to the other languages

	// Allergens and care, on several pages.
	NoAllergens string
	Care        string
	Unwell      string

	// Before consent.
	Welcome       string // when the study has no greeting
	Contains      string
	Alcohol       string
	AlcoholCare   string
	OldEnough     string // %d years
	OfAge         string // when no number of years is asked
	SayAge        string // when that was not confirmed
	GroupFull     string // places are left, for other groups of guests
	GroupFullText string
	GroupWhy      string // under questions that decide to which group of guests somebody belongs
	GroupStays    string // to whoever deletes their answers, of those questions
	AskStaff      string // where the staff know the answer to one
	ListCare      string
	AgreeTo       string
	TakesOnce     string // %d minutes
	TakesMore     string // %d minutes, %d sittings
	Agree         string
	Decline       string

	// A phone on which a tasting was begun.
	WelcomeBack string
	WasBegun    string
	Resume      string
	SomeoneElse string

	// Who said no.
	SaidNo       string
	DoNotTaste   string
	AlreadyEaten string
	BackToStart  string

	WhyNot       string // a question, over the reasons that may be given with one tap
	WhyNotText   string // that it is not asked for, and what is kept
	WhyNoTime    string
	WhyCannotEat string
	WhyWouldNot  string
	WhyOther     string
	WhyThanks    string
	WhyTellStaff string // who said that they cannot eat something in it: nobody was told

	// Questions before the first plate.
	LastHeading  string // over the last question, after all plates
	LastText     string
	BeforeFirst  string
	AnswerAsItIs string
	Yes, No      string

	// Instructions.
	HowItGoes    string
	OneServing   string
	SomeServings string // %d servings
	OneName      string
	SomeNames    string // %d names
	CheckCode    string
	TypeCodeHow  string // in place of CheckCode, where the code opens the serving
	NoWayBack    string
	Begin        string

	// A serving.
	SeatNumber  string // %d, as floor knows the assessor
	TableSeat   string // %d table, %d seat
	AtTable     string // %d
	ScanCard    string // on the card of a table
	NameOf      string // %d the name that is read, %d names
	Expect      string // after the name
	ServingOf   string // %d its number, %d servings
	Code        string
	CheckPlate  string // %s the code
	Replaced    string // the plate of the serving on the page
	OrNumber    string // %s lowest, %s highest
	NotMarked   string
	Marked      string
	NoMarkLine  string // where a number cannot be typed
	StepLower   string
	StepHigher  string
	SendOne     string
	SendSome    string // %d answers
	WrongTitle  string
	OneWrong    string
	SomeWrong   string // %d answers
	NothingSent string
	NoMark      string
	NoChoice    string
	OffLine     string // %s lowest, %s highest
	OffList     string

	// Several servings side by side, and one that is only tasted.
	RoundOf        string // %d its number, %d rounds
	YourPlates     string // %d plates
	TasteInOrder   string
	TasteAgain     string
	TasteOnce      string
	CheckPlates    string
	Compare        string // of the plate that is the reference
	RankHow        string // where a script counts taps
	RankByNumber   string // without one
	PlaceEarlier   string // a button that moves a plate one place towards the first
	PlaceLater     string // and one that moves it on
	PlaceOf        string // %s a code
	NoPlace        string
	OnePlace       string
	NoneFits       string // beside a list of words to tick
	NoTick         string
	BothTick       string
	PaperTick      string
	PairWith       string // of the first plate, where plates are sorted into pairs
	OneRound       string // %d plates
	SomeRounds     string // %d rounds, %d plates
	SecondsToRound string // after the seconds: %d the next round, %d rounds
	AloneFirst     string // in the instructions
	OnlyTaste      string
	Tasted         string // on its button
	TypeCodes      string
	TypeFirst      string // where one code opens a tray
	WrongCodes     string

	// On paper.
	PaperLine string
	PaperBox  string
	PaperCode string // of one plate or several

	// The pause.
	Pause       string
	AnswersKept string // before Rinse, where something was answered
	Rinse       string
	SecondsTo   string // after the seconds: %d the next serving, %d servings
	GoOn        string

	// Large text, comments, corrections and withdrawal.
	LargerText    string
	UsualText     string
	CommentLong   string // %d characters
	ChangeLast    string
	ChangeNote    string
	LeaveAsIs     string
	TooLate       string
	TooLateText   string
	TakeOut       string
	TakeOutAsk    string
	TakeOutText   string
	TakeOutDo     string
	TakeOutUntil  string // %s a moment
	Withdrawn     string
	WithdrawnText string
	Left          string
	LeftText      string
	Stop          string
	StopAsk       string
	StopText      string
	StopNot       string
	Stopped       string
	StoppedText   string
	Later         string
	LaterText     string

	// To another phone.
	OtherPhone     string
	OtherPhoneText string
	OtherPhoneOwn  string // whom the code is for
	OtherPhoneCode string // label of the picture

	// On the house's tablet.
	GiveBack     string
	GiveBackAsk  string
	GiveBackText string

	// Answers that wait on the phone.
	KeptHere string
	Received string
	Refused  string

	// A ballot without network.
	NoNetwork    string
	TypeCode     string
	TypeWhen     string // beside TypeCode, TypeCodes and TypeFirst
	OpenServing  string
	WrongCode    string
	AllKept      string
	NeedsNetwork string

	// What is told after the close.
	Found       string
	FoundHigher string // %s the question, %s what was rated higher, %s what was rated lower
	FoundOne    string
	FoundSmall  string
	FoundAlike  string
	FoundOpen   string
	FoundFew    string
	YourAnswers string
	YourMark    string
	AllMarks    string // %d guests
	SameAnswer  string // %d guests of %d
	SavePicture string
	PictureOnly string
	StepOf      string // %d question, %d in all
	NextOne     string
	EarlierOne  string

	// The end.
	ThankYou   string
	TookPart   string // where the study's own thanks are not said
	OneIn      string
	AllIn      string // %d servings
	About      string
	Over       string
	OverEarly  string
	AfterClose string // answers arrived then
	LastCall   string
	EndsAt     string // %s a time of day

	// Notices.
	Nowhere        string
	NowhereText    string
	Full           string
	FullText       string
	PlaceFreed     string
	PlaceFreedText string
	JoinAgain      string
	NotYetOpen     string
	NotYetOpenText string
	OldCard        string // for a version of the study that was replaced
	OldCardText    string
	NotOpen        string
	NotOpenText    string
	NotWhole       string
	SendAgain      string
	TooMuch        string
	WriteLess      string
	Foreign        string
	FromHere       string
	OurFault       string
	TryAgain       string
	TooMany        string
	TooManyText    string

	WordTitle  string // the word of the evening, on the card of the table
	WordWhy    string
	WordWrong  string
	WordLabel  string
	CannotKeep string
	LeaveOpen  string
	IfItGoesOn string
	SendThis   string
	Reference  string // before a reference number
}

// catalogue is every language by its tag.
var catalogue = map[string]Words{"en": english, "fr": holding(french), "de": holding(german),
	"es": holding(spanish), "it": holding(italian)}

// In returns the words of a language, given by its BCP 47 tag with or without a
// region; English when there are none.
func In(tag string) Words {
	base, _, _ := strings.Cut(tag, "-")
	if w, ok := catalogue[base]; ok {
		return w
	}
	return english
}

// Name returns what a language calls itself, with the region of its tag.
func Name(tag string) string {
	name := In(tag).Name
	if _, region, ok := strings.Cut(tag, "-"); ok {
		return fmt.Sprintf("%s (%s)", name, region)
	}
	return name
}

// Number writes a number as the language does.
func (w Words) Number(x float64) string {
	return strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), ".", w.Decimal, 1)
}

// Date is the day of a moment.
func (w Words) Date(t time.Time) string {
	day, _, _ := strings.Cut(w.Moment(t), ", ")
	return day
}

// Moment writes a day and a time of day, in the zone of t.
func (w Words) Moment(t time.Time) string {
	return fmt.Sprintf(w.Day, t.Day(), strings.Fields(w.Months)[t.Month()-1], t.Year(), t.Format("15:04 MST"))
}

// Servings says how many servings there are, or how many rounds of several side by side.
func (w Words) Servings(n, together int) string {
	switch {
	case together < 2:
		return some(n, w.OneServing, w.SomeServings)
	case n == 1:
		return fmt.Sprintf(w.OneRound, together)
	}
	return fmt.Sprintf(w.SomeRounds, n, together)
}

// Until says after how many seconds which serving or round of how many comes next.
func (w Words) Until(number, of, together int) string {
	if together < 2 {
		return fmt.Sprintf(w.SecondsTo, number, of)
	}
	return fmt.Sprintf(w.SecondsToRound, number, of)
}

// Names says how many names are read first.
func (w Words) Names(n int) string { return some(n, w.OneName, w.SomeNames) }

// Takes says how long tasting takes, over all sittings.
func (w Words) Takes(minutes, sittings int) string {
	if sittings < 2 {
		return fmt.Sprintf(w.TakesOnce, minutes)
	}
	return fmt.Sprintf(w.TakesMore, minutes, sittings)
}

// Send is the button that sends n answers, or says that something was only tasted.
func (w Words) Send(n int) string {
	if n == 0 {
		return w.Tasted
	}
	return some(n, w.SendOne, w.SendSome)
}

// InOrder says how plates side by side are tasted.
func (w Words) InOrder(once bool) string {
	if once {
		return w.TasteInOrder + " " + w.TasteOnce
	}
	return w.TasteInOrder + " " + w.TasteAgain
}

// Wrong says that n answers are missing or not clear.
func (w Words) Wrong(n int) string { return some(n, w.OneWrong, w.SomeWrong) }

// In says that the answers to n servings have arrived, or those to all rounds.
func (w Words) In(n, together int) string {
	if together > 1 {
		return w.OneIn
	}
	return some(n, w.OneIn, w.AllIn)
}

// Between names the ends of a line for those who type a number.
func (w Words) Between(from, to float64) string {
	return fmt.Sprintf(w.OrNumber, w.Number(from), w.Number(to))
}

// Off says that a number is not one of a line.
func (w Words) Off(from, to float64) string {
	return fmt.Sprintf(w.OffLine, w.Number(from), w.Number(to))
}

// some chooses between one and more, which is all the plurals that the languages
// here have for counts from 1.
func some(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(more, n)
}
