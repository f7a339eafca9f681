package panel_test

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/stamp/stamptest"
)

// acting is every method of the service that takes who acts, with what it does and how
// it is called. A method that only reads for its role may answer in a state in which
// its act is over: what it then holds is looked at elsewhere.
var acting = map[string]struct {
	act   panel.Act
	reads bool
	call  func(w *walk, by panel.Session) error
}{
	"Begin": {panel.ActBegin, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Begin(w.ctx, by, []byte(custard), ""))
	}},
	"Upload": {panel.ActBegin, false, func(w *walk, by panel.Session) error { return w.upload(by) }},
	"TakeWhole": {panel.ActBegin, true, func(w *walk, by panel.Session) error { // nothing to take
		if err := w.svc.TakeWhole(w.ctx, by, w.study, nil); errors.Is(err, panel.ErrRefused) {
			return err
		}
		return nil
	}},
	"Copy": {panel.ActBegin, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Copy(w.ctx, by, w.study))
	}},
	"SaveDraft": {panel.ActEdit, false, func(w *walk, by panel.Session) error {
		return w.save(by, "# other\n"+custard)
	}},
	"Undo": {panel.ActEdit, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Undo(w.ctx, by, w.study, w.revision()))
	}},
	"Redo": {panel.ActEdit, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Redo(w.ctx, by, w.study, w.revision()))
	}},
	"SetPhoto": {panel.ActEdit, false, func(w *walk, by panel.Session) error {
		return w.svc.SetPhoto(w.ctx, by, w.study, "canarydish", w.picture)
	}},
	"RemovePhoto": {panel.ActEdit, false, func(w *walk, by panel.Session) error {
		return w.svc.RemovePhoto(w.ctx, by, w.study, "canarydish")
	}},
	"Lock": {panel.ActLock, false, func(w *walk, by panel.Session) error {
		return w.svc.Lock(w.ctx, by, w.study, w.revision())
	}},
	"Countersign": {panel.ActCountersign, false, func(w *walk, by panel.Session) error {
		return w.svc.Countersign(w.ctx, by, w.study, "R. Öst")
	}},
	"Prepare": {panel.ActPrepare, false, func(w *walk, by panel.Session) error {
		return w.svc.Prepare(w.ctx, by, w.study)
	}},
	"OpenSitting": {panel.ActPrepare, false, func(w *walk, by panel.Session) error {
		return last(w.svc.OpenSitting(w.ctx, by, w.study))
	}},
	"RequestStamp": {panel.ActStamp, false, func(w *walk, by panel.Session) error {
		return w.svc.RequestStamp(w.ctx, by, w.study)
	}},
	"KeepStamp": {panel.ActStamp, false, func(w *walk, by panel.Session) error {
		if err := w.svc.RequestStamp(w.ctx, by, w.study); err != nil {
			return err
		}
		kept := of[panel.TimeStamp](w.night)(w.svc.TimeStamp(w.ctx, w.study))
		return w.svc.KeepStamp(w.ctx, by, w.study, w.authority().Answer(kept.Request, w.clock.now(), nil))
	}},
	"Close": {panel.ActClose, false, func(w *walk, by panel.Session) error {
		return w.svc.Close(w.ctx, by, w.study)
	}},
	"Amend": {panel.ActAmend, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Amend(w.ctx, by, w.study, "salt"))
	}},
	"Archive": {panel.ActArchive, false, func(w *walk, by panel.Session) error {
		return w.svc.Archive(w.ctx, by, w.study, true)
	}},
	"NoteExport": {panel.ActExport, false, func(w *walk, by panel.Session) error {
		return w.svc.NoteExport(w.ctx, by, w.read())
	}},
	"NoteDownload": {panel.ActExport, false, func(w *walk, by panel.Session) error {
		return w.svc.NoteDownload(w.ctx, by, w.study, "ratings.csv")
	}},
	"Delete": {panel.ActDelete, false, func(w *walk, by panel.Session) error {
		return w.svc.Delete(w.ctx, by, w.study, nil)
	}},
	"StaffAccess": {panel.ActAdmit, false, func(w *walk, by panel.Session) error {
		return last(w.svc.StaffAccess(w.ctx, by, w.sitting.ID))
	}},
	"RenewAccess": {panel.ActAdmit, false, func(w *walk, by panel.Session) error {
		return last(w.svc.RenewAccess(w.ctx, by, w.sitting.ID, panel.RoleFloor))
	}},
	"AskWord": {panel.ActAdmit, false, func(w *walk, by panel.Session) error {
		return w.svc.AskWord(w.ctx, by, w.sitting.ID, true)
	}},
	"Users": {panel.ActSeeUsers, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Users(w.ctx, by))
	}},
	"AddUser": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		_, _, err := w.svc.AddUser(w.ctx, by, "Ada", panel.RolePartner)
		return err
	}},
	"Invite": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Invite(w.ctx, by, w.user()))
	}},
	"SetRole": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return w.svc.SetRole(w.ctx, by, w.user(), w.study, panel.RoleMonitor)
	}},
	"SignOutUser": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return w.svc.SignOutUser(w.ctx, by, w.user())
	}},
	"RenameUser": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return w.svc.RenameUser(w.ctx, by, w.user(), "Bea")
	}},
	"HandOverService": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return w.svc.HandOverService(w.ctx, by, w.anotherLead(), "the owner's pass phrase", "desk")
	}},
	"EndUser": {panel.ActInvite, false, func(w *walk, by panel.Session) error {
		return w.svc.EndUser(w.ctx, by, w.user())
	}},
	"JoinRecord": {panel.ActJoinRecord, false, func(w *walk, by panel.Session) error {
		return w.svc.JoinRecord(w.ctx, by, panel.JoinedStudy{ID: "joined", Origin: "elsewhere", House: "the mill",
			Found: []analysis.FoundDifference{{Study: "names", Attribute: "salt"}}})
	}},
	"LeaveRecord": {panel.ActJoinRecord, false, func(w *walk, by panel.Session) error {
		return w.svc.LeaveRecord(w.ctx, by, "joined")
	}},
	"Log": {panel.ActReadLog, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Log(w.ctx, by, w.study))
	}},
	"TelevisionLink": {panel.ActWatch, false, func(w *walk, by panel.Session) error {
		return last(w.svc.TelevisionLink(by, w.study))
	}},
	"ShareReport": {panel.ActShare, false, func(w *walk, by panel.Session) error {
		return w.svc.ShareReport(w.ctx, by, w.study, panel.ShareDays)
	}},
	"SharedLink": {panel.ActShare, true, func(w *walk, by panel.Session) error {
		return last(w.svc.SharedLink(w.ctx, by, w.study))
	}},
	"EndSharing": {panel.ActShare, false, func(w *walk, by panel.Session) error {
		return w.svc.EndSharing(w.ctx, by, w.study)
	}},
	"TakeOut": {panel.ActTakeOut, false, func(w *walk, by panel.Session) error {
		return w.svc.TakeOut(w.ctx, by, w.study, 1)
	}},
	"CheckPaper": {panel.ActImport, true, func(w *walk, by panel.Session) error {
		_, _, err := w.svc.CheckPaper(w.ctx, by, w.study, panel.PaperTable{})
		return err
	}},
	"ImportPaper": {panel.ActImport, true, func(w *walk, by panel.Session) error { // an empty table: nothing is taken
		return last(w.svc.ImportPaper(w.ctx, by, w.study, panel.PaperTable{}))
	}},
	"PaperSheet": {panel.ActImport, true, func(w *walk, by panel.Session) error {
		_, _, err := w.svc.PaperSheet(w.ctx, by, w.study)
		return err
	}},
	"FreeNumber": {panel.ActFree, false, func(w *walk, by panel.Session) error {
		return w.svc.FreeNumber(w.ctx, by, w.study, 1)
	}},
	"BreakBlind": {panel.ActBreakBlind, false, func(w *walk, by panel.Session) error { return w.breakBlind(by) }},
	"AskBlind": {panel.ActAskBlind, false, func(w *walk, by panel.Session) error {
		return last(w.svc.AskBlind(w.ctx, by, panel.BreakBlind{Seat: 1, Code: w.plate().Code, Reason: "rash"}))
	}},
	"BlindAsk": {panel.ActAgreeBlind, true, func(w *walk, by panel.Session) error {
		return last(w.svc.BlindAsk(w.ctx, by, "none"))
	}},
	"AgreeBlind": {panel.ActAgreeBlind, false, func(w *walk, by panel.Session) error {
		return w.svc.AgreeBlind(w.ctx, by, "none")
	}},
	"OpenedBlind": {panel.ActAskBlind, true, func(w *walk, by panel.Session) error {
		return last(w.svc.OpenedBlind(w.ctx, by, "none"))
	}},
	"KitchenSheet": {panel.ActPlate, true, func(w *walk, by panel.Session) error {
		return last(w.svc.KitchenSheet(w.ctx, by))
	}},
	"AtPass": {panel.ActPlate, false, func(w *walk, by panel.Session) error {
		return w.svc.AtPass(w.ctx, by, w.plate().Code, true, panel.PhoneAct{})
	}},
	"ReleaseWave": {panel.ActRelease, false, func(w *walk, by panel.Session) error {
		return w.svc.ReleaseWave(w.ctx, by, w.sitting.ID, 1, panel.PhoneAct{})
	}},
	"TakeLook": {panel.ActLook, false, func(w *walk, by panel.Session) error {
		_, err := w.svc.TakeLook(w.ctx, by, w.study)
		if errors.Is(err, panel.ErrNoLook) { // allowed, and nothing to look at
			return nil
		}
		return err
	}},
	"LastCall": {panel.ActClose, false, func(w *walk, by panel.Session) error {
		return w.svc.LastCall(w.ctx, by, w.study)
	}},
	"BeginClose": {panel.ActClose, false, func(w *walk, by panel.Session) error {
		return w.svc.BeginClose(w.ctx, by, w.study)
	}},
	"ReturnUnused": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return last(w.svc.ReturnUnused(w.ctx, by))
	}},
	"LogTemperature": {panel.ActPlate, false, func(w *walk, by panel.Session) error { return w.measure(by) }},
	"CodeLabels": {panel.ActPrintCodes, false, func(w *walk, by panel.Session) error {
		return last(w.svc.CodeLabels(w.ctx, by))
	}},
	"PaperBallots": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return last(w.svc.PaperBallots(w.ctx, by))
	}},
	"Room": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.Room(w.ctx, by))
	}},
	"PlateInHand": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.PlateInHand(w.ctx, by, w.plate().Code))
	}},
	"HandOver": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.HandOver(w.ctx, by))
	}},
	"HandTablet": {panel.ActLend, false, func(w *walk, by panel.Session) error {
		return last(w.svc.HandTablet(w.ctx, by, w.seat.ID))
	}},
	"HandTabletTo": {panel.ActLend, false, func(w *walk, by panel.Session) error {
		return last(w.svc.HandTabletTo(w.ctx, by, w.study, 1))
	}},
	"TakeTabletBack": {panel.ActLend, false, func(w *walk, by panel.Session) error {
		return w.svc.TakeTabletBack(w.ctx, by, w.seat.ID)
	}},
	"RoomAhead": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.RoomAhead(w.ctx, by))
	}},
	"ConsentText": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.ConsentText(w.ctx, by))
	}},
	"SeatGuest": {panel.ActServe, false, func(w *walk, by panel.Session) error { return w.seatGuest(by) }},
	"GuestSaidNo": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.GuestSaidNo(w.ctx, by, "a-guest-without-a-phone", panel.NoTime)
	}},
	"SetSeat": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.SetSeat(w.ctx, by, w.seat.ID, "4", panel.PhoneAct{})
	}},
	"MoveSeat": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.MoveSeat(w.ctx, by, w.seat.ID, 7, panel.PhoneAct{})
	}},
	"CutRinse": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.CutRinse(w.ctx, by, w.seat.ID, 1, panel.PhoneAct{})
	}},
	"FreeSeat": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.FreeSeat(w.ctx, by, w.seat.ID)
	}},
	"Leave": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.Leave(w.ctx, by, w.seat.ID, panel.PhoneAct{})
	}},
	"Return": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.Return(w.ctx, by, w.seat.ID, panel.PhoneAct{})
	}},
	"DropCode": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return last(w.svc.DropCode(w.ctx, by, w.seat.ID, w.shown()))
	}},
	"Drop": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return last(w.svc.Drop(w.ctx, by, w.plate().ID, w.shown()))
	}},
	"TakeBackDrop": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return last(w.svc.TakeBackDrop(w.ctx, by, w.plate().ID, w.shown()))
	}},
	"Serve": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.Serve(w.ctx, by, w.seat.Next.ID, w.shown())
	}},
	"TakeBack": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.TakeBack(w.ctx, by, w.seat.Next.ID, w.shown())
	}},
	"NoteIncident": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.NoteIncident(w.ctx, by, w.seat.Next.ID, panel.Spilt, panel.PhoneAct{})
	}},
	"TakeBackIncident": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.TakeBackIncident(w.ctx, by, w.seat.Next.ID, panel.Spilt, panel.PhoneAct{})
	}},
	"Refuse": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.Refuse(w.ctx, by, w.seat.Next.ID, w.shown())
	}},
	"TakeBackRefusal": {panel.ActServe, false, func(w *walk, by panel.Session) error {
		return w.svc.TakeBackRefusal(w.ctx, by, w.seat.Next.ID, w.shown())
	}},
	"FloorBallot": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.FloorBallot(w.ctx, by, w.seat.Next.ID, ""))
	}},
	"FloorLast": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		return last(w.svc.FloorLast(w.ctx, by, w.seat.ID))
	}},
	"EnterLast": {panel.ActServe, true, func(w *walk, by panel.Session) error {
		_, _, err := w.svc.EnterLast(w.ctx, by, w.seat.ID, nil, "")
		return err
	}},
	// What arrives after the close is kept aside, so that Enter answers then too.
	"Enter": {panel.ActServe, true, func(w *walk, by panel.Session) error { return w.enter(by) }},
}

// byKnowledge are methods whose answer depends on what a role may know rather than do;
// TestEveryRoleIsRefusedWhatIsNotItsOwn, TestPanelCheckIsForTheLead and
// TestClosingKeepsWhatLaterStudiesAreSizedBy try them.
var byKnowledge = []string{"EarlierSpread", "EvidenceSoFar", "KeptVerdicts", "Live", "LooksSoFar", "PanelCheck",
	"Photo", "Record", "StudiesFor"}

// walk is a study in a state, with a guest seated where there can be one.
type walk struct {
	*night
	ctx     context.Context
	seat    panel.FloorSeat
	picture []byte
	added   panel.UserID
	heir    panel.UserID
}

func newWalk(t *testing.T, state panel.State) *walk {
	t.Helper()
	n := &night{t: t, lead: byLead}
	n.svc, n.clock = newService(t)
	stored, problems, err := n.svc.Upload(t.Context(), byLead, "walk.yaml", []byte(custard))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	n.study = stored.ID
	w := &walk{night: n, ctx: t.Context(), picture: asJPEG(t, painted(40, 30))}
	if state >= panel.Locked {
		n.must(n.svc.Lock(w.ctx, byLead, n.study, 1))
	}
	if state >= panel.Open {
		n.sitting, n.kitchen, n.floor = n.open()
		n.guest("one")
		w.seat = n.seat(1)
	}
	if state == panel.Closed {
		n.must(n.svc.Close(w.ctx, byLead, n.study))
	}
	return w
}

// by is a session of a role; kitchen and floor of the sitting where there is one.
func (w *walk) by(r panel.Role) panel.Session {
	return panel.Session{Role: r, StudyID: w.study, SittingID: w.sitting.ID, Label: "1"}
}

// owner is the session of the owner, who is a lead.
func (w *walk) owner() panel.Session {
	by := w.by(panel.RoleLead)
	by.UserID, by.Owner = panel.FirstUserID, true
	return by
}

// anotherLead is a lead beside the owner, both with a password.
func (w *walk) anotherLead() panel.UserID {
	if w.heir == "" {
		w.must(w.svc.SetPassword(w.ctx, "Ines", "the owner's pass phrase"))
		u, token, err := w.svc.AddUser(w.ctx, w.owner(), "Cleo", panel.RoleLead)
		w.must(err)
		w.must(w.svc.AcceptInvitation(w.ctx, token, "a long pass phrase"))
		w.heir = u.ID
	}
	return w.heir
}

// user is a user who is not the owner.
func (w *walk) user() panel.UserID {
	if w.added == "" {
		u, _, err := w.svc.AddUser(w.ctx, w.owner(), "Ben", panel.RolePartner)
		w.must(err)
		w.added = u.ID
	}
	return w.added
}

func (w *walk) read() panel.Study { return of[panel.Study](w.night)(w.svc.Study(w.ctx, w.study)) }

func (w *walk) revision() int { return w.read().Revision }

// plate is the plate that is next at the seat; none before the study is open.
func (w *walk) plate() panel.FloorPlate {
	if len(w.seat.Next.Plates) == 0 {
		return panel.FloorPlate{}
	}
	return w.seat.Next.Plates[0]
}

// shown is an act on that plate.
func (w *walk) shown() panel.PhoneAct { return panel.PhoneAct{Code: panel.PlateCodes(w.plate().Code)} }

func (w *walk) authority() *stamptest.Authority { return stamptest.New(w.t, w.clock.now(), nil) }

func (w *walk) upload(by panel.Session) error {
	_, _, err := w.svc.Upload(w.ctx, by, "more.yaml", []byte(custard))
	return err
}

func (w *walk) save(by panel.Session, file string) error {
	return last(w.svc.SaveDraft(w.ctx, by, w.study, w.revision(), []byte(file)))
}

func (w *walk) breakBlind(by panel.Session) error {
	by.SittingID = w.sitting.ID
	return last(w.svc.BreakBlind(w.ctx, by, panel.BreakBlind{SittingID: w.sitting.ID, Seat: 1, Code: w.plate().Code,
		Reason: "rash"}))
}

func (w *walk) measure(by panel.Session) error {
	return last(w.svc.LogTemperature(w.ctx, by, panel.Temperature{Wave: 1, Dish: "canarydish", Celsius: 64}))
}

func (w *walk) seatGuest(by panel.Session) error {
	return last(w.svc.SeatGuest(w.ctx, by, "walk", panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
}

func (w *walk) enter(by panel.Session) error {
	return last(w.svc.Enter(w.ctx, by, panel.Submission{ID: "walk", TurnID: w.seat.Next.ID,
		Given: map[string]string{"a1": "5", "a2": "5"}}))
}

// TestEveryActByEveryRoleInEveryState calls every method that takes who acts and holds
// it to the table: refused where the role may never, never refused as such where it
// may, and not done where it may in another state only.
func TestEveryActByEveryRoleInEveryState(t *testing.T) {
	for state := panel.Draft; state <= panel.Closed; state++ {
		t.Run(state.String(), func(t *testing.T) {
			var w *walk // until something was done in it
			for name, x := range acting {
				for role := panel.RoleNobody; role <= panel.RoleTablet+1; role++ {
					if w == nil {
						w = newWalk(t, state)
					}
					by, owns := w.by(role), role > panel.RoleTablet
					if owns {
						by, role = w.owner(), panel.RoleLead
					}
					err := x.call(w, by)
					may := mayEver(role, x.act) || owns && x.act == panel.ActInvite
					switch refused := errors.Is(err, panel.ErrRefused); {
					case refused == may:
						t.Errorf("%s by %s, %s study: %v", name, role, state, err)
					case err == nil && !x.reads && !panel.MayDo(role, x.act, state) && x.act != panel.ActInvite:
						t.Errorf("%s by %s was done in a %s study", name, role, state)
					}
					if err == nil && !x.reads {
						w = nil
					}
					if owns {
						break
					}
				}
			}
		})
	}
}

func mayEver(r panel.Role, a panel.Act) bool {
	return slices.ContainsFunc([]panel.State{panel.Draft, panel.Locked, panel.Open, panel.Closed},
		func(s panel.State) bool { return panel.MayDo(r, a, s) })
}

// TestEveryActingMethodIsWalked finds the methods that take a session by their types.
func TestEveryActingMethodIsWalked(t *testing.T) {
	svc, session := reflect.TypeFor[*panel.Service](), reflect.TypeFor[panel.Session]()
	found := 0
	for m := range svc.NumMethod() {
		method := svc.Method(m)
		takes := false
		for i := 1; i < min(3, method.Type.NumIn()); i++ {
			takes = takes || method.Type.In(i) == session
		}
		if !takes {
			continue
		}
		found++
		if _, walked := acting[method.Name]; !walked && !slices.Contains(byKnowledge, method.Name) {
			t.Errorf("%s takes who acts and is not walked", method.Name)
		}
	}
	if found != len(acting)+len(byKnowledge) {
		t.Errorf("%d methods take who acts, %d are walked", found, len(acting)+len(byKnowledge))
	}
}

// TestTheTableOfActs is the table in words, for reading: who may do what, when.
func TestTheTableOfActs(t *testing.T) {
	const draft, locked, open, closed = 1 << panel.Draft, 1 << panel.Locked, 1 << panel.Open, 1 << panel.Closed
	const all = draft | locked | open | closed
	want := map[panel.Role]map[panel.Act]int{
		panel.RoleLead: {
			panel.ActBegin: all, panel.ActEdit: draft, panel.ActLock: draft, panel.ActPrepare: locked | open,
			panel.ActClose: open, panel.ActLook: open, panel.ActStamp: locked | open | closed,
			panel.ActAmend: locked | open | closed, panel.ActArchive: all, panel.ActExport: all,
			panel.ActDelete: all &^ open,
			panel.ActAdmit:  all, panel.ActSeeUsers: all, panel.ActJoinRecord: all, panel.ActPassword: all,
			panel.ActReadLog: all,
			panel.ActWatch:   all,
			panel.ActShare:   closed,
			panel.ActTakeOut: open | closed, panel.ActImport: open, panel.ActFree: open, panel.ActBreakBlind: open,
			panel.ActRelease: open, panel.ActLend: open,
		},
		panel.RolePartner: {panel.ActCountersign: locked | open, panel.ActExport: all, panel.ActPassword: all,
			panel.ActReadLog: all, panel.ActWatch: all},
		panel.RoleMonitor: {panel.ActPassword: all, panel.ActReadLog: all},
		panel.RoleNamed:   {panel.ActPassword: all},
		panel.RoleKitchen: {panel.ActPlate: open, panel.ActRelease: open,
			panel.ActPrintCodes: locked | open, panel.ActBreakBlind: open,
			panel.ActAgreeBlind: open},
		panel.RoleFloor: {panel.ActServe: open, panel.ActLend: open, panel.ActAskBlind: open,
			panel.ActAgreeBlind: open},
		panel.RoleAssessor: {panel.ActRate: open},
	}
	for role := panel.RoleNobody; role <= panel.RoleTablet; role++ {
		for act := panel.ActBegin; act <= panel.ActRate; act++ {
			for state := panel.Draft; state <= panel.Closed; state++ {
				if got, may := panel.MayDo(role, act, state), want[role][act]&(1<<state) != 0; got != may {
					t.Errorf("%s, act %d, %s study: %v, want %v", role, act, state, got, may)
				}
			}
		}
	}
}
