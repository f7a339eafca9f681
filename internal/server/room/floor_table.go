package room

import (
	"slices"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// standing says where a seat stands, as floor reads it: a state of [panel.SeatState], a
// finer one, or one that only a phone without network brings about.
type standing string

const (
	starting  = standing(panel.SeatStarting)
	reading   = standing(panel.SeatReading)
	waiting   = standing(panel.SeatWaiting)
	tasting   = standing(panel.SeatTasting)
	rinsing   = standing(panel.SeatRinsing)
	elsewhere = standing(panel.SeatElsewhere)
	finished  = standing(panel.SeatFinished)
	left      = standing(panel.SeatLeft)
	withdrawn = standing(panel.SeatWithdrawn)
	stopped   = standing(panel.SeatStopped)

	aloud  standing = "aloud"   // reading, and staff read the names to them
	bySelf standing = "by-self" // left, by their own wish

	// Without network:
	heard    standing = "heard"    // what the guest expects of a name is noted
	unplated standing = "unplated" // the plate was dropped, and its new code is not known
	noted    standing = "noted"    // nothing is left that could be noted
	further  standing = "further"  // of the turn after the one that stands there
)

// oneOrTray is what is said of a single plate, and of a tray of several.
type oneOrTray [2]string

func same(text string) *oneOrTray { return &oneOrTray{text, text} }

func (x *oneOrTray) in(say site.Tongue) *oneOrTray {
	if x == nil {
		return nil
	}
	return &oneOrTray{say.Translate(x[0]), say.Translate(x[1])}
}

func inTongue(say site.Tongue, texts []string) (all []string) {
	for _, text := range texts {
		all = append(all, say.Translate(text))
	}
	return all
}

// standingRow is what floor reads of a seat that stands somewhere. A phone without
// network gets what has a name for the wire.
type standingRow struct {
	Told string          `json:"-"`    // with network
	Mark string          `json:"-"`    // on its card, when a plate is on the table
	Look panel.SeatState `json:"look"` // how lists draw it

	Known  *oneOrTray `json:"known,omitempty"`  // without network; nil = as the service told it last
	Sealed *oneOrTray `json:"sealed,omitempty"` // while the phone does not know the codes; nil = as Known
	Note   string     `json:"note,omitempty"`   // on the page of the seat

	Bars   string   `json:"bars,omitempty"`   // why its turns may not be opened; "" = the next one may
	First  string   `json:"first,omitempty"`  // what has to be done before a later one is opened
	Onward bool     `json:"onward,omitempty"` // but a guest with a phone may be one further on
	Acts   []string `json:"acts"`             // what can be noted without network, in order
}

var (
	toTakeOut = same("to serve")
	typeCodes = &oneOrTray{"serving {number}: type {opens}", "tray {number}: type {opens}"}
)

const (
	namesFirst = "The names are read to this guest first, and that needs the network."
	waitsAnew  = "Dropped: kept on this phone. The new code comes from the program when you’re back online, " +
		"so nothing is plated anew before. Tell the kitchen that a plate was dropped."
)

// standings has a row for each.
var standings = map[standing]standingRow{
	starting:  {Told: "reads the instructions", Known: toTakeOut, Sealed: typeCodes},
	reading:   {Told: "reads name {number} of {of}", Known: toTakeOut, Sealed: typeCodes},
	aloud:     {Told: "name {number} of {of} to read aloud", Look: panel.SeatReading, Bars: namesFirst},
	waiting:   {Told: "waiting: {minutes}", Known: toTakeOut, Sealed: typeCodes},
	rinsing:   {Told: "rinses, {seconds} s more", Known: toTakeOut, Sealed: typeCodes},
	elsewhere: {Told: "goes on at another sitting first", Known: toTakeOut, Sealed: typeCodes},
	finished:  {Told: "has finished"},
	left:      {Told: "has left", Known: same("has left")},
	bySelf:    {Told: "has stopped, by their own wish", Look: panel.SeatLeft},
	withdrawn: {Told: "deleted their answers"},
	stopped:   {Told: "was stopped by the close"},
	tasting: {Told: "tasting", Mark: "on the table", Known: &oneOrTray{"has the plate", "has the tray"},
		First: ": enter its scores", Onward: true},

	heard:    {Known: same("all noted here"), Look: panel.SeatReading, Bars: namesFirst},
	unplated: {Known: same("dropped: wait for the new code"), Look: panel.SeatWaiting, Note: waitsAnew},
	noted:    {Known: same("all noted here"), Look: panel.SeatFinished},
	further:  {Known: same("next plate"), Look: panel.SeatWaiting},
}

// scope is what an act is about. It is offered where that is there.
type scope int

const (
	ofSeat     scope = iota
	ofTurn           // the turn that comes next
	ofPlate          // each plate of it
	ofReplaced       // each plate of it that was dropped, while that can be taken back
	ofName           // the name that is read now
	ofRefused        // the turn before, which the guest did not want
	ofSkipped        // the name before, which was skipped
	ofWrong          // a turn of which that is not noted, see [incidentActs]
	ofNoted          // a turn of which that is
)

// floorAct is something that floor notes of a seat: where it is offered, in which English words,
// and what it leads to. In its texts {seat}, {label}, {over}, {turn}, {plate}, {code},
// {was}, {number}, {place} and {table} stand for what is there. A phone without network gets what
// has a name for the wire, and replays what it keeps by it.
type floorAct struct {
	Does string     `json:"-"`
	Of   scope      `json:"-"`
	In   []standing `json:"-"` // where pages offer it
	Away []standing `json:"-"` // where a phone without network does

	Turn   bool     `json:"turn,omitempty"`   // it is about a turn whose codes the phone knows
	Plate  bool     `json:"plate,omitempty"`  // and about one plate of it
	To     standing `json:"to,omitempty"`     // where the seat stands then; "" = where it stood
	Last   standing `json:"last,omitempty"`   // the turn is over with it: where, when no other one follows
	Undoes bool     `json:"undoes,omitempty"` // where it stood before it stood here
	Sets   string   `json:"sets,omitempty"`   // what it writes of the seat, from the field of that name
	Path   string   `json:"path"`             // below the seat's
	Field  []string `json:"field,omitempty"`  // name and value of what goes with it
	Says   string   `json:"says"`             // in the list of what a phone keeps

	Text *oneOrTray `json:"text,omitempty"` // on its button
	Card []string   `json:"card,omitempty"` // on that of the seat's card, and what only readers of screens need
	Main bool       `json:"main,omitempty"` // the first of these is the button that stands out
	Own  bool       `json:"own,omitempty"`  // unless the guest does it on a phone
	Asks bool       `json:"asks,omitempty"` // questions come first
	List bool       `json:"list,omitempty"` // without network the list follows
	Fold bool       `json:"fold,omitempty"` // behind “Something went wrong”

	what panel.Incident // that it notes or takes back; "" = none
}

var (
	plated  = []standing{waiting, tasting}
	here    = []standing{starting, reading, aloud, waiting, tasting, rinsing}
	notGone = slices.Concat(here, []standing{elsewhere, finished})
	toCome  = []standing{starting, reading, waiting, rinsing, elsewhere, further} // a turn may be set down
	onATurn = slices.Concat(toCome, []standing{tasting})
	theCode = []string{"code", "{code}"}
)

// floorActs are in the order in which the page of a seat has them.
var floorActs = slices.Concat([]floorAct{
	{Does: "served", Of: ofTurn, In: []standing{waiting}, Away: toCome, Turn: true, To: tasting,
		Path: "turns/{turn}/served", Field: theCode, Says: "{code} served",
		Text: same("Set down"), Card: []string{"Set down", " at {label}"}, Main: true, List: true},
	{Does: "answered", Of: ofTurn, In: plated, Away: onATurn, Turn: true, To: waiting, Last: noted,
		Path: "scores/{turn}", Says: "scores for {code}",
		Text: &oneOrTray{"Enter the scores", "Enter the answer"}, Main: true, Own: true, Asks: true, List: true},
	{Does: "taken-back", Of: ofTurn, In: []standing{tasting}, Away: []standing{tasting}, Turn: true, To: waiting,
		Path: "turns/{turn}/taken-back", Field: theCode, Says: "{code} taken back",
		Text: same("Not served: take that back"), Card: []string{"Take that back", " at {label}"}},
	{Does: "dropped", Of: ofPlate, In: plated, Away: onATurn, Turn: true, Plate: true, To: unplated,
		Path: "servings/{plate}/dropped", Field: theCode, Says: "{code} dropped",
		Text: &oneOrTray{"Dropped: ask for a new code", "{code} dropped: ask for a new code"}},
	{Does: "refused", Of: ofTurn, In: plated, Away: onATurn, Turn: true, To: waiting, Last: noted,
		Path: "turns/{turn}/refused", Field: theCode, Says: "{code} refused",
		Text: same("The guest does not want it")},
	{Does: "not-dropped", Of: ofReplaced, In: plated,
		Path: "servings/{plate}/not-dropped", Field: theCode, Says: "{was} was not dropped",
		Text: same("Not dropped: back to {was}")},
	{Does: "wanted", Of: ofRefused, In: notGone,
		Path: "turns/{turn}/wanted", Says: "{code} wanted after all",
		Text: same("The guest wants {code} after all")},
	{Does: "not-skipped", Of: ofSkipped, In: notGone,
		Path: "turns/{turn}/wanted", Says: "name wanted after all",
		Text: same("Not skipped: read name {number} after all")},
	{Does: "expects", Of: ofName, In: []standing{reading, aloud}, To: heard,
		Path: "scores/{turn}", Says: "what the guest expects",
		Text: same("Enter what the guest expects"), Main: true, Own: true, Asks: true},
	{Does: "skipped", Of: ofName, In: []standing{reading, aloud}, To: heard,
		Path: "turns/{turn}/refused", Says: "name skipped",
		Text: same("Skip this name")},
	{Does: "rested", In: []standing{rinsing}, Away: []standing{rinsing}, To: waiting,
		Path: "rinse", Field: []string{"over", "{over}"}, Says: "rinse ended",
		Text: same("End the rinse now"), Main: true},
	{Does: "back", In: []standing{left, bySelf}, Away: []standing{left, bySelf}, Undoes: true,
		Path: "back", Says: "the guest is back", Text: same("The guest is back")},
	{Does: "left", In: here, Away: slices.Concat(here, []standing{elsewhere, heard, unplated, further}), To: left,
		Path: "left", Says: "the guest has left", Text: same("The guest has left")},
	sits, moves, droppedAhead,
}, incidentActs())

// What is typed has a form of its own; what it says is completed from that.
var (
	sits  = floorAct{Does: "sits", Sets: "place", Path: "place", Says: "sits at “{place}”"}
	moves = floorAct{Does: "moves", Sets: "table", Path: "table", Says: "moves to table {table}"}
	// Where the guest's phone is without network, the guest may be further on.
	droppedAhead = floorAct{Does: "dropped-ahead", In: []standing{waiting, tasting, rinsing},
		Path: "dropped", Says: "{code} dropped"}
)

// withoutNetwork is the table as a phone without network has it.
type withoutNetwork struct {
	Standings map[standing]standingRow `json:"standings"`
	Acts      map[string]floorAct      `json:"acts"`
	Later     standing                 `json:"later"` // of a turn after the one that stands there
}

// onPhones is the table in a language, the same for everybody who reads that.
func onPhones(say site.Tongue) withoutNetwork {
	w := withoutNetwork{Standings: map[standing]standingRow{}, Acts: map[string]floorAct{}, Later: further}
	for name, row := range standings {
		row.Look, row.Acts = lookOf(name), []string{}
		row.Known, row.Sealed = row.Known.in(say), row.Sealed.in(say)
		row.Note, row.Bars, row.First = say.Translate(row.Note), say.Translate(row.Bars), say.Translate(row.First)
		for _, act := range floorActs {
			if slices.Contains(act.Away, name) {
				row.Acts = append(row.Acts, act.Does)
			}
		}
		w.Standings[name] = row
	}
	for _, act := range floorActs {
		act.Says, act.Text, act.Card = say.Translate(act.Says), act.Text.in(say), inTongue(say, act.Card)
		if len(act.Away) == 0 { // it was noted with network: what it leads to is all that matters
			act.Text, act.Field, act.Asks = nil, nil, false
		}
		if len(act.Away) > 0 || act.To != "" || act.Sets != "" {
			w.Acts[act.Does] = act
		}
	}
	return w
}

// lookOf is how lists draw a seat.
func lookOf(name standing) panel.SeatState {
	if look := standings[name].Look; look != "" {
		return look
	}
	return panel.SeatState(name)
}

// standingOf is where a seat in a state stands for floor.
func standingOf(state panel.SeatState, t panel.FloorSeat) standing {
	switch {
	case state == panel.SeatReading && !t.Phone:
		return aloud
	case state == panel.SeatLeft && t.Self:
		return bySelf
	}
	return standing(state)
}
