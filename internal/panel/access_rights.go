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
	RoleMonitor // a user who watches over how a study is run: reads, takes nothing away
	RoleNamed   // a user outside the studies in which they have a role
	RoleTablet  // the house's tablet in a guest's hands: its link opens the ballot as an assessor's does
)

var roleWords = [...]string{"nobody", "lead", "partner", "kitchen", "floor", "assessor", "monitor", "named", "tablet"}

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
	KnowAssessors                  // how well each assessor does
	KnowLooks                      // what planned looks, or running evidence, showed so far, in numbers
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
		KnowAssessors: afterClose(Whole), KnowLooks: afterClose(Whole),
	},
	RolePartner: {
		KnowQuestion: always(Whole), KnowKey: afterClose(Whole), KnowName: afterClose(Whole),
		KnowRatings: afterClose(Whole), KnowProgress: always(Whole), KnowAllergens: always(Whole),
		KnowLooks: byState{Open: Whole, Closed: Whole},
	},
	RoleMonitor: {
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

// Act is what can be done to a study, a sitting or the service.
type Act int

// The acts.
const (
	ActBegin       Act = iota // begin a study, from a file or as a copy
	ActEdit                   // change a draft: its text, its photos
	ActLock                   // fix a study
	ActCountersign            // put a name to what was locked, before the first rating
	ActStamp                  // have what was locked stamped by an outside authority
	ActPrepare                // make the sittings that are still to come, and open the next
	ActLook                   // take a planned look, which tells only whether to go on
	ActClose                  // close a study and open its key
	ActAmend                  // begin the next version of a study
	ActArchive                // put a study away, or take it out again
	ActExport                 // download all that there is of a study
	ActDelete                 // delete a study with all that belongs to it
	ActAdmit                  // see and renew the links of kitchen and floor, say what guests are asked at the door
	ActJoinRecord             // let what another house found join the record, or take it out again
	ActSeeUsers               // see who the users are
	ActInvite                 // add, invite, rename and end users; say their roles, and who owns the service
	ActPassword               // change one's own password
	ActReadLog                // read the event log
	ActWatch                  // show the board on a television
	ActShare                  // let who has a link read the report
	ActTakeOut                // take out the answers of a guest who asks for it
	ActImport                 // take answers that were written on paper
	ActFree                   // free the place of a guest who never tasted
	ActBreakBlind             // break the blind for one serving
	ActAskBlind               // ask another of the staff to agree that floor breaks the blind
	ActAgreeBlind             // agree to that
	ActPlate                  // read the kitchen's sheet, and log a temperature
	ActRelease                // release a wave
	ActPrintCodes             // print the labels of a sitting's codes
	ActServe                  // serve, drop, seat, enter scores on a guest's behalf
	ActLend                   // hand the house's tablet to a guest, and take it back
	ActRate                   // rate, comment, withdraw
)

// states says in which states of a study something may be done.
type states [Closed + 1]bool

var (
	inEveryState = states{true, true, true, true}
	inDraft      = states{Draft: true}
	inOpen       = states{Open: true}
	beforeClose  = states{Locked: true, Open: true}
	unlessOpen   = states{Draft: true, Locked: true, Closed: true}
	onceLocked   = states{Locked: true, Open: true, Closed: true}
	onceOpen     = states{Open: true, Closed: true}
	onceClosed   = states{Closed: true}
)

// mayDo says who may do what, and when. What is missing is refused.
var mayDo = map[Role]map[Act]states{
	RoleLead: {
		ActBegin: inEveryState, ActEdit: inDraft, ActLock: inDraft, ActPrepare: beforeClose, ActClose: inOpen,
		ActLook:    inOpen,
		ActStamp:   onceLocked,
		ActAmend:   onceLocked,
		ActArchive: inEveryState, ActExport: inEveryState, ActDelete: unlessOpen, ActAdmit: inEveryState,
		ActSeeUsers: inEveryState, ActPassword: inEveryState, ActJoinRecord: inEveryState,
		ActReadLog: inEveryState, ActWatch: inEveryState, ActShare: onceClosed,
		ActTakeOut: onceOpen, ActImport: inOpen, ActFree: inOpen, ActBreakBlind: inOpen, ActRelease: inOpen,
		ActLend: inOpen,
	},
	RolePartner: {ActCountersign: beforeClose, ActExport: inEveryState, ActPassword: inEveryState,
		ActReadLog: inEveryState, ActWatch: inEveryState},
	RoleMonitor: {ActPassword: inEveryState, ActReadLog: inEveryState},
	RoleNamed:   {ActPassword: inEveryState},
	RoleKitchen: {ActBreakBlind: inOpen, ActAgreeBlind: inOpen, ActPlate: inOpen, ActPrintCodes: beforeClose,
		ActRelease: inOpen},
	RoleFloor:    {ActServe: inOpen, ActLend: inOpen, ActAskBlind: inOpen, ActAgreeBlind: inOpen},
	RoleAssessor: {ActRate: inOpen},
}

// ownerMayDo says what the owner may do beside what the role does.
var ownerMayDo = map[Act]states{ActInvite: inEveryState}

// MayDo reports whether a role may do a while a study is in a state.
func MayDo(r Role, a Act, s State) bool {
	if s < Draft || s > Closed {
		return false
	}
	return mayDo[r][a][s]
}

// may refuses an act to a role that may never do it ([ErrRefused]). The state of the
// study is looked at by whoever reads it: [Session.mayNow], or the transaction that
// changes it.
func (by Session) may(a Act) error {
	if mayDo[by.Role][a] != (states{}) || by.Owner && ownerMayDo[a] != (states{}) {
		return nil
	}
	return ErrRefused
}

// mayNow refuses an act to a role that may never do it ([ErrRefused]), or not while a
// study is in a state: at a sitting [ErrEarly] before it is open and [ErrNotOpen]
// after, [ErrWrongState] elsewhere.
func (by Session) mayNow(a Act, s State) error {
	if err := by.may(a); err != nil {
		return err
	}
	switch {
	case MayDo(by.Role, a, s):
		return nil
	case mayDo[by.Role][a] != inOpen:
		return ErrWrongState
	case s == Locked:
		return ErrEarly
	}
	return ErrNotOpen
}
