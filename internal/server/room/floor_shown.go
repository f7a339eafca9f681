package room

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// shownAct is an act as a page offers it.
type shownAct struct {
	Does         string
	Seat         panel.AssessorID
	Action       string
	Turn         panel.TurnID // "" = none
	Says, Text   string
	Card, Unseen string // the button on the seat's card, and what only readers of screens need
	Name, Value  string // of the field that goes with it; "" = none
	Main, Asks   bool
}

// subject is what an act of a seat is about.
type subject struct {
	turn   panel.TurnID
	plate  panel.ServingID
	code   panel.PlateCodes
	was    panel.Code
	number int
	tray   bool
}

// subjects lists what a seat has of a scope.
func (of scope) subjects(t panel.FloorSeat) []subject {
	next := subject{turn: t.Next.ID, code: t.Next.Code, number: t.Next.Number, tray: len(t.Next.Plates) > 1}
	before := subject{turn: t.Before.ID, code: t.Before.Code, number: t.Before.Number}
	var list []subject
	switch of {
	case ofSeat:
		return []subject{{}}
	case ofTurn:
		list = append(list, next)
	case ofName:
		list = append(list, subject{turn: t.Reads.ID, number: t.Reads.Number})
	case ofRefused, ofSkipped:
		if (of == ofSkipped) == (before.code == "") {
			list = append(list, before)
		}
	case ofPlate, ofReplaced:
		for _, p := range t.Next.Plates {
			next.plate, next.code, next.was = p.ID, panel.PlateCodes(p.Code), p.Was
			if of == ofPlate || p.Was != "" {
				list = append(list, next)
			}
		}
	}
	return slices.DeleteFunc(list, func(x subject) bool { return x.turn == "" })
}

// offered lists the acts of a seat, in order; of several that may stand out the first
// one does.
func offered(say site.Tongue, t panel.FloorSeat) []shownAct {
	var list []shownAct
	stands, main := standingOf(t.State, t), false
	for _, act := range floorActs {
		if act.Text == nil || !slices.Contains(act.In, stands) {
			continue
		}
		if act.Fold { // see [wentWrong]
			continue
		}
		for _, x := range act.Of.subjects(t) {
			shown := act.shown(say, t, x)
			shown.Main = act.Main && !main && !(act.Own && t.Phone)
			main = main || act.Main
			list = append(list, shown)
		}
	}
	return list
}

// shown is the act of a seat about something there.
func (a floorAct) shown(say site.Tongue, t panel.FloorSeat, x subject) shownAct {
	path, values := "/floor/seats/"+string(t.ID), []string{"{who}", guestWords(say, t), "{over}", strconv.Itoa(t.Over)}
	if x.turn != "" {
		values = append(values, "{turn}", string(x.turn), "{plate}", string(x.plate), "{code}", string(x.code),
			"{was}", string(x.was), "{number}", strconv.Itoa(x.number))
	}
	in := strings.NewReplacer(values...)
	s := shownAct{Does: a.Does, Seat: t.ID, Turn: x.turn, Action: path + "/" + in.Replace(a.Path),
		Says: in.Replace(ofSeatWords(say, a.Says)), Asks: a.Asks}
	if a.Text != nil && x.tray {
		s.Text = in.Replace(say.Translate(a.Text[1]))
	} else if a.Text != nil {
		s.Text = in.Replace(say.Translate(a.Text[0]))
	}
	if a.Card != nil {
		s.Card, s.Unseen = say.Translate(a.Card[0]), in.Replace(say.Translate(a.Card[1]))
	}
	if a.Field != nil {
		s.Name, s.Value = a.Field[0], in.Replace(a.Field[1])
	}
	return s
}

// standsIn says in words where a seat stands.
func standsIn(say site.Tongue, t panel.FloorSeat) string {
	if t.Passes > 0 {
		return say.Translate("at the pass %s", site.Minutes(say, t.Passes))
	}
	if t.Held > 0 {
		return say.Translate("held back until wave %d", t.Held)
	}
	return strings.NewReplacer("{number}", strconv.Itoa(t.Reads.Number), "{of}", strconv.Itoa(t.Reads.Of),
		"{minutes}", site.Minutes(say, t.Waiting), "{seconds}", strconv.Itoa(int(math.Ceil(t.Rinse.Seconds())))).
		Replace(say.Translate(standings[standingOf(t.State, t)].Told))
}

// ofSeatWords is what a phone keeps of a seat, with its guest before it.
func ofSeatWords(say site.Tongue, what string) string {
	return strings.NewReplacer("{what}", say.Translate(what)).Replace(say.Translate("{who}: {what}"))
}

// guestWords are who sits at a seat: table and seat where they are known, else the guest's
// number.
func guestWords(say site.Tongue, t panel.FloorSeat) string {
	return atWords(say, "Table {table}, seat {chair}", "Guest {label}", t.Label, t.Table, t.TableSeat)
}

// plateFor is [guestWords] within a sentence, of the guest whose plate is in the hand.
func plateFor(say site.Tongue, p panel.PlateInHand) string {
	return atWords(say, "table {table}, seat {chair}", "guest {label}", p.Label, p.Table, p.Chair)
}

func atWords(say site.Tongue, at, guest string, label, table, chair int) string {
	if table == 0 || chair == 0 {
		at = guest
	}
	return strings.NewReplacer("{label}", strconv.Itoa(label), "{table}", strconv.Itoa(table),
		"{chair}", strconv.Itoa(chair)).Replace(say.Translate(at))
}

// hereWords are [guestWords] where the table is said already.
func hereWords(say site.Tongue, t panel.FloorSeat) string {
	if t.Table == 0 || t.TableSeat == 0 {
		return guestWords(say, t)
	}
	return say.Translate("Seat %d", t.TableSeat)
}

// whoWords is one of the staff as the log names them: a role, and a number where there is one.
func whoWords(say site.Tongue, who string) string {
	role, number, _ := strings.Cut(who, " ")
	return strings.TrimSpace(say.Translate(role) + " " + number)
}
