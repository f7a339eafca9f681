package panel

// Role is whom a session or a link belongs to. The zero value may do nothing.
type Role int

// The roles.
const (
	RoleNobody Role = iota
	RoleLead
	RolePartner
	RoleKitchen
	RoleFloor
	RoleAssessor
)

var roleWords = [...]string{"nobody", "lead", "partner", "kitchen", "floor", "assessor"}

// String gives the role's word.
func (r Role) String() string {
	if r < 0 || int(r) >= len(roleWords) {
		return roleWords[RoleNobody]
	}
	return roleWords[r]
}

// RoleOf returns the role of a word, [RoleNobody] when it is none.
func RoleOf(word string) Role {
	for r, w := range roleWords {
		if w == word {
			return Role(r)
		}
	}
	return RoleNobody
}

// Knowledge is what there is to know about a study.
type Knowledge int

// The kinds of knowledge.
const (
	KnowQuestion  Knowledge = iota // question and hypothesis, and the title that gives them away
	KnowKey                        // the dish behind a code
	KnowName                       // the name that goes with a serving
	KnowRatings                    // ratings by sample
	KnowProgress                   // who has tasted, counts
	KnowAllergens                  // the union over all dishes
)

// Extent is how much of it. The zero value is nothing.
type Extent int

// The extents.
const (
	Nothing   Extent = iota
	Whole            // all of it
	Counts           // numbers without whose they are
	OwnPart          // that serving's, that sitting's seats, one's own
	IfDebrief        // what the debrief text says, if the study has one
)

// byState is an extent in each state of a study: draft, locked, open, closed.
type byState [Closed + 1]Extent

func always(e Extent) byState     { return byState{e, e, e, e} }
func whileOpen(e Extent) byState  { return byState{Open: e} }
func afterClose(e Extent) byState { return byState{Closed: e} }

// mayKnow says who may know what, and when. A row or cell that is missing is nothing.
var mayKnow = map[Role]map[Knowledge]byState{
	RoleLead: {
		KnowQuestion: always(Whole), KnowKey: afterClose(Whole), KnowName: afterClose(Whole),
		KnowRatings: afterClose(Whole), KnowProgress: always(Whole), KnowAllergens: always(Whole),
	},
	RolePartner: {
		KnowQuestion: always(Whole), KnowKey: afterClose(Whole), KnowName: afterClose(Whole),
		KnowRatings: afterClose(Whole), KnowProgress: always(Whole), KnowAllergens: always(Whole),
	},
	RoleKitchen: {
		KnowKey: whileOpen(Whole), KnowProgress: always(Counts), KnowAllergens: always(Whole),
	},
	RoleFloor: {
		KnowName: whileOpen(OwnPart), KnowProgress: always(OwnPart), KnowAllergens: always(Whole),
	},
	RoleAssessor: {
		KnowQuestion: afterClose(IfDebrief), KnowName: whileOpen(OwnPart),
		KnowProgress: always(OwnPart), KnowAllergens: always(Whole),
	},
}

// May returns how much of k a role may know while a study is in a state.
func May(r Role, k Knowledge, s State) Extent {
	if s < Draft || s > Closed {
		return Nothing
	}
	return mayKnow[r][k][s]
}

// Act is what can be done to a study or a sitting.
type Act int

// The acts.
const (
	ActPrepare     Act = iota // begin, edit, lock, open a sitting, close, amend, delete
	ActCountersign            // put a name to what was locked, before the first rating
	ActAdmit                  // see and renew the links of kitchen and floor, invite the partner
	ActReadLog                // read the event log
	ActBreakBlind             // break the blind for one serving
	ActMeasure                // log a temperature
	ActServe                  // serve, drop, seat, enter scores on a guest's behalf
	ActRate                   // rate, comment, withdraw
)

// states says in which states of a study something may be done.
type states [Closed + 1]bool

var (
	inEveryState = states{true, true, true, true}
	inOpen       = states{Open: true}
	onceLocked   = states{Locked: true, Open: true}
)

// mayDo says who may do what, and when. What is missing is refused.
var mayDo = map[Role]map[Act]states{
	RoleLead:     {ActPrepare: inEveryState, ActAdmit: inEveryState, ActReadLog: inEveryState, ActBreakBlind: inOpen},
	RolePartner:  {ActReadLog: inEveryState, ActCountersign: onceLocked},
	RoleKitchen:  {ActBreakBlind: inOpen, ActMeasure: inOpen},
	RoleFloor:    {ActServe: inOpen},
	RoleAssessor: {ActRate: inOpen},
}

// MayDo reports whether a role may do a while a study is in a state.
func MayDo(r Role, a Act, s State) bool {
	if s < Draft || s > Closed {
		return false
	}
	return mayDo[r][a][s]
}
