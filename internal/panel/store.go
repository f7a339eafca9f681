package panel

import (
	"context"
	"io"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// Store keeps studies, sittings, assessors and ratings. Every method is one
// transaction: it happens whole or not at all, and what it acknowledged is
// durable. A missing thing is [ErrNotFound]; a list of what does not exist is empty.
type Store interface {
	StudyStore
	DraftStore
	ShareStore
	StampStore
	DifferenceStore
	SittingStore
	SeatStore
	TurnStore
	AnswerStore
	LogStore
	ServiceStore
	AccountStore
	StaffStore
}

// StudyStore keeps studies and their versions, from the first draft to the last trace.
type StudyStore interface {
	// CreateStudy keeps a draft as the first version of a study, and logs e; with
	// the photos of another study when photosOf is not "". ErrWrongState when it
	// is no draft.
	CreateStudy(ctx context.Context, s Study, photosOf StudyID, e Event) error
	// AmendStudy keeps a draft as the next version of the study that it amends,
	// with its photos, and logs both entries. It fills in Series, Version and
	// RatingsBefore. ErrWrongState when that one is a draft, ErrAmended when it
	// has a later version.
	AmendStudy(ctx context.Context, s Study, amended, begun Event) (Study, error)
	// Study and Versions leave Spec nil: the service reads File.
	Study(ctx context.Context, id StudyID) (Study, error)
	// Studies returns every study, newest first, with what [Study.Listed] leaves of it.
	Studies(ctx context.Context) ([]Study, error)
	Versions(ctx context.Context, series StudyID) ([]Study, error) // by version
	// LockStudy turns a draft into a locked study with its turns, and logs e;
	// ErrWrongState when it is no draft any more, ErrStale when it is at another
	// revision. Spares are the codes for dropped plates.
	LockStudy(ctx context.Context, id StudyID, revision int, lock Lock, turns []Turn, spares []Spare, e Event) error
	// CountersignStudy keeps who stands by what was locked, once, and logs e.
	// ErrWrongState unless the study is locked, or open without a rating, or when
	// it is signed already.
	CountersignStudy(ctx context.Context, id StudyID, c Countersign, e Event) error
	// CloseStudy sets an open study closed and logs e; ErrWrongState when it is not open.
	CloseStudy(ctx context.Context, id StudyID, at time.Time, e Event) error
	// NoteStudy notes how an open study comes to its end, each thing once, and logs e when
	// something was noted. ErrWrongState unless it is open.
	NoteStudy(ctx context.Context, id StudyID, n StudyNote, e Event) error
	// ArchiveStudy puts a study away, or takes it out again at the zero time, and
	// logs e.
	ArchiveStudy(ctx context.Context, id StudyID, at time.Time, e Event) error
	// NoteExport notes that a study was exported, and logs e. ErrStale when it is
	// in another state or at another revision than exported.
	NoteExport(ctx context.Context, exported Study, at time.Time, e Event) error
	// ForgetGuests deletes of a closed study what could tell who a guest was: personal
	// links, where they sat, comments and what phones sent; and logs e. A second time changes
	// nothing. ErrWrongState when it is not closed.
	ForgetGuests(ctx context.Context, id StudyID, at time.Time, e Event) error
	// DeleteStudy deletes a study with all that belongs to it, its log too, and
	// logs what tombstone makes of it and of where its log ended. ErrWrongState when it is open, ErrNotExported
	// when it was not exported since its last change, ErrAmended when it has a
	// later version.
	DeleteStudy(ctx context.Context, id StudyID, how Deletion, tombstone func(Study, Progress, LogEnd) Event) error
	Progress(ctx context.Context, studyID StudyID) (Progress, error)
	// WriteWhole writes a closed study and the versions before it with all that is kept of
	// them, but for links, sessions, where guests sat and what phones sent word for word: lines
	// that are the same for the same study on any database. ErrWrongState when it is not closed.
	WriteWhole(ctx context.Context, id StudyID, w io.Writer) error
	// TakeWhole adds what WriteWhole wrote elsewhere, all or nothing, and logs e. ErrThere when
	// one of its versions is kept already; another error when the lines are none of that study
	// alone.
	TakeWhole(ctx context.Context, id StudyID, lines []byte, e Event) error
}

// ShareStore keeps whose report is to be had without signing in.
type ShareStore interface {
	// ShareReport shares the report of a study until a moment, in the place of an
	// earlier sharing, and logs e. ErrWrongState when the study is not closed.
	ShareReport(ctx context.Context, id StudyID, ends time.Time, e Event) error
	// SharedUntil returns when the sharing of a report ends, also when that is past;
	// ErrNotFound when it is not shared.
	SharedUntil(ctx context.Context, id StudyID) (time.Time, error)
	// EndSharing takes the link back, and logs e when there was one. ErrWrongState when
	// the study is not closed.
	EndSharing(ctx context.Context, id StudyID, e Event) error
}

// StampStore keeps the time stamp of what was locked.
type StampStore interface {
	// RequestStamp keeps the request of a study that is locked or later, and logs e; the one
	// that is there stays, and nothing is logged. ErrWrongState of a draft.
	RequestStamp(ctx context.Context, id StudyID, request []byte, at time.Time, e Event) error
	// KeepStamp keeps the answer to it, once, and logs e. ErrWrongState when there is no
	// request, or an answer.
	KeepStamp(ctx context.Context, id StudyID, answer []byte, at time.Time, e Event) error
	// TimeStamp returns both; ErrNotFound when there is no request.
	TimeStamp(ctx context.Context, id StudyID) (TimeStamp, error)
}

// DraftStore keeps the text of drafts and the photos of their dishes.
type DraftStore interface {
	// SaveDraft puts a text in the place of a draft's and keeps the one before
	// for undo, the last keep of them; what was undone is gone. The revision goes
	// up, unless the text is the same. ErrStale when the draft is at another
	// revision, ErrWrongState when it is no draft any more.
	SaveDraft(ctx context.Context, id StudyID, revision int, file string, keep int) (Study, error)
	// StepDraft puts back the text before (by = -1) or after (by = 1) the one that
	// stands. ErrNotFound when there is none; otherwise as SaveDraft.
	StepDraft(ctx context.Context, id StudyID, revision, by int) (Study, error)
	// SetPhoto keeps the photo of a dish of a draft in the place of an earlier
	// one; an empty one removes it. ErrWrongState when it is no draft.
	SetPhoto(ctx context.Context, studyID StudyID, p Photo) error
	Photo(ctx context.Context, studyID StudyID, dish study.DishID) (Photo, error)
	// PhotoDishes returns the dishes of a study that have a photo, in order.
	PhotoDishes(ctx context.Context, studyID StudyID) ([]study.DishID, error)
}

// DifferenceStore keeps what closed studies found, for the size of later ones and the
// house's record.
type DifferenceStore interface {
	// KeepDifferences puts what find makes of the ratings of a closed study in the place
	// of what was kept of it before; ErrWrongState when it is not closed.
	KeepDifferences(ctx context.Context, studyID StudyID, find func([]KeyedAnswer) []analysis.FoundDifference) error
	// DifferencesMissing returns the closed studies of which nothing is kept, or
	// whose answers have changed since.
	DifferencesMissing(ctx context.Context) ([]StudyID, error)
	// FoundDifferences returns the differences that were kept of the same kind of question,
	// contrast and scale, the latest study first: of all studies, or of those alone in which a user
	// has a role of their own.
	FoundDifferences(ctx context.Context, like analysis.FoundDifference, of UserID) ([]analysis.FoundDifference,
		error)
	// AllDifferences returns all that are kept, those of the earliest study first.
	AllDifferences(ctx context.Context) ([]RecordedDifference, error)
	// LastEntry is the number of the last entry in a study's log; 0 when it has none.
	LastEntry(ctx context.Context, studyID StudyID) (int, error)
	// KeepVerdictLine keeps a line in the place of the one before; ErrWrongState when the
	// study is not closed.
	KeepVerdictLine(ctx context.Context, line VerdictLine) error
	// VerdictLines returns those of some studies that a build said and in whose log nothing is new but
	// what LeaveFindings holds.
	VerdictLines(ctx context.Context, program string, of []StudyID) ([]VerdictLine, error)
	// JoinRecord keeps what another house found, and logs e; ErrJoined when it is kept already.
	JoinRecord(ctx context.Context, j JoinedStudy, e Event) error
	// LeaveRecord deletes it, and logs e; ErrNotFound when it is not kept.
	LeaveRecord(ctx context.Context, id JoinedID, e Event) error
	// JoinedDifferences returns all that other houses found, and what was kept of deleted studies,
	// what was closed first first.
	JoinedDifferences(ctx context.Context) ([]RecordedDifference, error)
	// KeptVerdicts returns what is kept of deleted studies, without Found, what was closed last first.
	KeptVerdicts(ctx context.Context) ([]JoinedStudy, error)
}

// SittingStore keeps sittings.
type SittingStore interface {
	// PrepareSittings adds sittings that are not open yet, and logs e when that made
	// any: one whose number is there stays as it is. Refused as OpenSitting is.
	PrepareSittings(ctx context.Context, studyID StudyID, all []Sitting, e Event) error
	// OpenSitting opens the sitting of a number, which it adds unless it was prepared,
	// sets the study open and logs e; ErrWrongState unless the study is locked or
	// open, or when that sitting is open. The first one needs that no later version
	// of the study is locked (ErrAmended) and that no earlier one is open
	// (ErrEarlierOpen).
	OpenSitting(ctx context.Context, s Sitting, e Event) error
	Sittings(ctx context.Context, studyID StudyID) ([]Sitting, error) // by number, prepared ones too
	SittingByJoin(ctx context.Context, join JoinToken) (Sitting, error)
	Sitting(ctx context.Context, id SittingID) (Sitting, error)
	// AskWord notes whether everybody who joins a sitting says the word of the
	// evening, and logs e. ErrWrongState unless the study is locked or open.
	AskWord(ctx context.Context, sittingID SittingID, ask bool, e Event) error
	// NoteLook notes the look that was taken at the end of a sitting, once, and logs e;
	// ErrWrongState when there was one, or the study is not open.
	NoteLook(ctx context.Context, sittingID SittingID, l Look, e Event) error
	// ReleaseWave notes up to which wave plates may go out, and logs e when that is further
	// than before. ErrNotOpen unless the study is open.
	ReleaseWave(ctx context.Context, sittingID SittingID, wave int, e Event) error
	// Decline counts one person who said no, and logs e; the same nonceHash counts once. A reason is
	// kept with it, also when it comes later; the first one stays.
	Decline(ctx context.Context, sittingID SittingID, nonceHash TokenHash, why WhyNot, at time.Time, e Event) error
	// WhyDeclined counts the reasons of those who said no, over all sittings.
	WhyDeclined(ctx context.Context, studyID StudyID) (WhyCounts, error)
}

// SeatStore keeps who has which place, and what is noted of them.
type SeatStore interface {
	// Seat gives the next free place of the sitting to a new assessor, found by
	// tokenHash ever after. The same tokenHash again returns the assessor it
	// made the first time. Place and nothing else of a is chosen by the store:
	// the lowest place that has servings at the sitting and is not taken, at a table of
	// those whose order the fewest there have, or the most where a is to taste alike; one whose
	// assessor left or withdrew before any plate was set down, refused or rated is not,
	// and that assessor is gone once it is given away.
	// ErrFull when none is left; ErrNotOpen unless the study is open. What note
	// makes of the new assessor is logged. With d, samples are dealt on arrival: the
	// place is one that was dealt to the stratum of d before and is free again, else the
	// lowest that was not dealt yet, to which d deals now; and d's entry is logged.
	// ErrGroupFull when the places that are left were dealt to other strata.
	Seat(ctx context.Context, a Assessor, tokenHash TokenHash, d *Dealing, note func(Assessor) Event) (Assessor, error)
	// Dealt returns what was dealt on arrival, in the order of arrival.
	Dealt(ctx context.Context, studyID StudyID) ([]Dealt, error)
	AssessorByToken(ctx context.Context, tokenHash TokenHash) (Assessor, error)
	// SeatByToken returns an assessor with all that says what they see, as of one
	// moment. A [FreedError] when the place was freed, or given away after the
	// assessor had gone.
	SeatByToken(ctx context.Context, tokenHash TokenHash) (SeatRecord, error)
	Assessor(ctx context.Context, id AssessorID) (Assessor, error)
	Assessors(ctx context.Context, studyID StudyID) ([]Assessor, error) // by place
	// FreePlaces counts the places of a sitting that are not taken.
	FreePlaces(ctx context.Context, studyID StudyID, sitting int) (int, error)
	// VacantPlaces returns the places that are not taken, of all sittings, in order.
	VacantPlaces(ctx context.Context, studyID StudyID) ([]int, error)
	// FreePlace takes an assessor away who never tasted, and logs e: the place is the
	// next one's, with its order and codes. ErrTasted when a plate was set down,
	// refused or rated, or anything else was answered; ErrNotOpen unless the study is open.
	FreePlace(ctx context.Context, assessorID AssessorID, e Event) error
	// Start notes that the instructions were read; the first time counts.
	Start(ctx context.Context, assessorID AssessorID, at time.Time) error
	// NoteAssessor changes what is noted of an assessor, and logs e. ErrNotOpen
	// unless the study is open, ErrWithdrawn when the assessor withdrew. Here and
	// wherever else an event is logged: ErrRepeated, and nothing changes, when an
	// event with its ActID was logged in the study before.
	NoteAssessor(ctx context.Context, assessorID AssessorID, n AssessorNote, e Event) error
	// SayLast keeps what an assessor said to the last question, and logs e: Recorded, AfterClose
	// when the study is closed or x says so, Repeated when it was answered before. ErrNotOpen
	// before the study is open, ErrWithdrawn after withdrawal.
	SayLast(ctx context.Context, assessorID AssessorID, x SaidLast, e Event) (Outcome, error)
	// Withdraw deletes every answer and comment of an assessor, those that were
	// replaced and those to screening questions too, keeps the place taken, and logs e. A second time changes
	// nothing. ErrNotOpen before the study is open.
	Withdraw(ctx context.Context, assessorID AssessorID, at time.Time, e Event) error
}

// TurnStore keeps the turns of the plan, and what is noted of them during service.
type TurnStore interface {
	// Turns returns the turns of one place, in order.
	Turns(ctx context.Context, studyID StudyID, place int) ([]Turn, error)
	// AllTurns returns every turn of the plan by place and order.
	AllTurns(ctx context.Context, studyID StudyID) ([]Turn, error)
	// TurnsAt returns every turn of one sitting by place and order.
	TurnsAt(ctx context.Context, studyID StudyID, sitting int) ([]Turn, error)
	Turn(ctx context.Context, id TurnID) (Turn, error)
	// TurnOf returns the turn that a serving belongs to.
	TurnOf(ctx context.Context, id ServingID) (Turn, error)
	// NoteTurn changes what is noted of a turn that has an assessor, and logs e.
	// ErrNotFound when the place is nobody's, ErrNotOpen unless the study is open.
	NoteTurn(ctx context.Context, id TurnID, n TurnNote, e Event) error
	// OpenTurn notes that the guest typed the code on the plate of a turn, the first time
	// only. It is no event: the turn says when. Errors as NoteTurn.
	OpenTurn(ctx context.Context, id TurnID, at time.Time) error
	// Reveal notes that the blind was broken for a serving, the first time only, and
	// logs e; errors as NoteTurn.
	Reveal(ctx context.Context, id ServingID, r Reveal, e Event) error
	// Drop gives a serving that carries a code the next spare code of its sitting
	// and keeps the old one. ErrOtherCode when it carries another, ErrNoSpare when
	// none is left, ErrRated when its turn has answers; otherwise as NoteTurn.
	Drop(ctx context.Context, id ServingID, code design.Code, at time.Time, e Event) (Serving, error)
	// TakeBackDrop gives a serving that carries a code the one back that it had
	// before its last drop. ErrOverAlready when it was not dropped; otherwise as Drop.
	TakeBackDrop(ctx context.Context, id ServingID, code design.Code, at time.Time, e Event) (Serving, error)
	// SpareCodes returns the codes of a sitting that no dropped plate has taken, in
	// the order in which they will be.
	SpareCodes(ctx context.Context, studyID StudyID, sitting int) ([]design.Code, error)
	// Dropped returns the codes that servings of a study had before, oldest first.
	Dropped(ctx context.Context, studyID StudyID) ([]Dropped, error)
	// NoteIncident keeps what went wrong with a turn that has an assessor, once of each
	// kind, or takes it back, and logs e. ErrNotFound and ErrNotOpen as NoteTurn.
	NoteIncident(ctx context.Context, n NotedIncident, happened bool, e Event) error
	// Incidents returns what went wrong in a study, oldest first.
	Incidents(ctx context.Context, studyID StudyID) ([]NotedIncident, error)
}

// AnswerStore keeps answers.
type AnswerStore interface {
	// Submit takes a submission once. Inside the transaction, in which no other
	// submission of the assessor is taken, it asks judge what to do with it and
	// does that, and logs the entry that judge wants logged, if any. An id that was
	// taken before is [Repeated] and is not judged.
	// ErrNotFound when the turn is not the assessor's or its sitting is not
	// open, ErrNotOpen before the study is open, ErrWithdrawn when the assessor
	// withdrew. After the close the only verdict is [AfterClose]. The assessor has finished once every turn
	// with plates from the sitting at which they joined is answered or refused. A name that is read before
	// tasting is taken at whichever sitting they joined.
	Submit(ctx context.Context, sub Submitted, judge func(Standing) (Outcome, *Event)) (Outcome, error)
	// SubmitAll takes submissions as the first answers of their turns, all or none, as
	// Submit takes each, and logs e. ErrRated when one is not judged [Recorded], ErrNotOpen
	// when it came after the close.
	SubmitAll(ctx context.Context, subs []Submitted, judge func(i int, st Standing) (Outcome, *Event), e Event) error
	// Answers returns the answers of a turn as they stand, by serving and attribute.
	Answers(ctx context.Context, id TurnID) (AnsweredTurn, []Answer, error)
	// AnsweredTurns returns the turns of a study that have answers, by time.
	AnsweredTurns(ctx context.Context, studyID StudyID) ([]AnsweredTurn, error)
	// AnsweredBy returns when each turn of an assessor was answered.
	AnsweredBy(ctx context.Context, assessorID AssessorID) (map[TurnID]time.Time, error)
	// ReplacedAll returns the answers that do not count, oldest first.
	ReplacedAll(ctx context.Context, studyID StudyID) ([]Replaced, error)
	// AfterClose returns how many servings of an assessor have answers that arrived
	// after the close; a name that was read counts as one.
	AfterClose(ctx context.Context, assessorID AssessorID) (int, error)
	// KeyedAnswers returns every answer by place, turn, serving and attribute.
	KeyedAnswers(ctx context.Context, studyID StudyID) ([]KeyedAnswer, error)
}

// LogStore keeps the logs, which nothing is taken out of. Each is a chain: an entry is kept
// with the hash of the one before, in the order in which transactions are kept, whichever
// service they come from.
type LogStore interface {
	AppendEvent(ctx context.Context, e Event) error
	// Acted tells whether an event with an id was logged in a study.
	Acted(ctx context.Context, studyID StudyID, once string) (bool, error)
	Events(ctx context.Context, studyID StudyID) ([]Event, error) // oldest first
	// Entries returns a log as it is kept, by number, and the end that is kept beside it.
	Entries(ctx context.Context, studyID StudyID) ([]Entry, LogEnd, error)
	// Logs returns the studies that have a log, or are there and should have one; first "",
	// for the service.
	Logs(ctx context.Context) ([]StudyID, error)
}

// ServiceStore keeps what belongs to the service as a whole.
type ServiceStore interface {
	// Ready writes and so finds out whether anything can be kept; [ErrUnavailable]
	// when not.
	Ready(ctx context.Context, at time.Time) error
	// Setting returns a setting of the service, ErrNotFound when it is not set.
	Setting(ctx context.Context, key string) (string, error)
	// SetSetting sets a setting that is not set yet; false when it was set already.
	SetSetting(ctx context.Context, key, value string) (bool, error)
}

// AccountStore keeps users, sessions, passkeys and invitations.
type AccountStore interface {
	// CreateSession keeps a session and deletes those that have expired at now.
	CreateSession(ctx context.Context, tokenHash TokenHash, s Session, now time.Time) error
	// Session returns a session; a user's has the role and the name that they have now.
	Session(ctx context.Context, tokenHash TokenHash) (Session, error)
	DeleteSession(ctx context.Context, tokenHash TokenHash) error
	// SessionsOf returns the sessions of a user that have not expired at now, but for the
	// one with the hash but; the last that began first.
	SessionsOf(ctx context.Context, id UserID, but TokenHash, now time.Time) ([]Session, error)
	// DeleteSessionsOf ends the sessions of a user, but for the one with the hash but, and logs e.
	DeleteSessionsOf(ctx context.Context, id UserID, but TokenHash, e Event) error
	// Lend keeps the session of the house's tablet, ends others that show the ballot of its seat
	// and those that have expired at now, and logs e.
	Lend(ctx context.Context, tokenHash TokenHash, s Session, now time.Time, e Event) error
	// LentSeat returns the hash of the personal link whose ballot the house's tablet shows, by the
	// session of the tablet; ErrNotFound when it has expired at now.
	LentSeat(ctx context.Context, tokenHash TokenHash, now time.Time) (TokenHash, error)
	// Lent returns the seats of a sitting whose ballots tablets show at now, in no order.
	Lent(ctx context.Context, sittingID SittingID, now time.Time) ([]AssessorID, error)
	// EndLoan ends the sessions of tablets that show the ballot of a seat, and logs e; ErrNotFound
	// when there is none.
	EndLoan(ctx context.Context, seatID AssessorID, e Event) error
	// AddUser keeps a user who has no roles in single studies, and logs e; ErrTaken when somebody has
	// the id or a name with the same [NameKey], or owns the service as they are to; ErrTooMany when
	// there are most already.
	AddUser(ctx context.Context, u User, most int, e Event) error
	User(ctx context.Context, id UserID) (User, error)
	// Owner returns the user who owns the service; ErrNotFound before it was set up.
	Owner(ctx context.Context) (User, error)
	// UserNamed returns the user who has a name with the same [NameKey].
	UserNamed(ctx context.Context, name string) (User, error)
	// UsersSeen returns all users, the owner first and then by name; what has expired at now counts not.
	UsersSeen(ctx context.Context, now time.Time) ([]UserSeen, error)
	CountUsers(ctx context.Context) (int, error)
	// RoleIn returns the role that a user has in a study alone; ErrNotFound when none is said there.
	RoleIn(ctx context.Context, id UserID, studyID StudyID) (Role, error)
	// SetRole sets the role of a user and logs e: in the versions of a study, [RoleNamed] for none said
	// there; or where no other is said, when series is "". ErrNotFound without such a user.
	SetRole(ctx context.Context, id UserID, series StudyID, r Role, e Event) error
	// RenameUser gives a user another name and logs e; ErrTaken when somebody else has one with the same
	// [NameKey], ErrNotFound without such a user.
	RenameUser(ctx context.Context, id UserID, name string, e Event) error
	// HandOver makes another user the owner and logs e; ErrRefused when from is not the owner,
	// ErrBadValue when to is no lead who has a password.
	HandOver(ctx context.Context, from, to UserID, e Event) error
	// SetLanguage sets the language in which a user reads pages, "" for none of their own; ErrNotFound
	// without such a user.
	SetLanguage(ctx context.Context, id UserID, tag string) error
	// Invite keeps a one-time invitation of a user to choose a password; an
	// earlier one of theirs ends.
	Invite(ctx context.Context, id UserID, tokenHash TokenHash, expires time.Time, e Event) error
	// Invitation returns whom an invitation is for, and when it expires.
	Invitation(ctx context.Context, tokenHash TokenHash) (UserID, time.Time, error)
	// AcceptInvitation uses up an invitation that has not expired, sets the
	// password of its user and ends their sessions and passkeys. ErrNotFound otherwise.
	AcceptInvitation(ctx context.Context, tokenHash TokenHash, digest string, now time.Time, e Event) error
	// ReplacePassword puts a password in the place of a user's, ends their
	// sessions but for the one with the hash keep, and logs e. Without keep their passkeys go, too.
	ReplacePassword(ctx context.Context, id UserID, digest string, keep TokenHash, e Event) error
	// AddPasskey keeps a passkey and logs e; ErrTooMany when its user has most already.
	AddPasskey(ctx context.Context, p Passkey, most int, e Event) error
	Passkeys(ctx context.Context, id UserID) ([]Passkey, error) // oldest first
	Passkey(ctx context.Context, id string) (Passkey, error)
	HasPasskeys(ctx context.Context) (bool, error) // anybody's
	// UsePasskey keeps Credential, Used and Asked of a passkey that answered a challenge;
	// ErrPasskey when it is gone, or has answered this challenge or a later one.
	UsePasskey(ctx context.Context, p Passkey) error
	// RemovePasskey deletes a passkey of a user and logs e; ErrNotFound when there is none.
	RemovePasskey(ctx context.Context, user UserID, id string, e Event) error
	// EndUser deletes a user with their roles, passkeys, invitation and sessions, and logs e.
	EndUser(ctx context.Context, id UserID, e Event) error
}

// StaffStore keeps the links of kitchen and floor, and the temperatures that they log.
type StaffStore interface {
	// StaffLink returns the link of a role at a sitting, and makes it with
	// tokenHash when there is none.
	StaffLink(ctx context.Context, sittingID SittingID, r Role, tokenHash TokenHash) (StaffLink, error)
	StaffLinkByToken(ctx context.Context, tokenHash TokenHash) (StaffLink, error)
	// RenewStaffLink counts a renewal and ends the sessions of the role at the
	// sitting, in one step.
	RenewStaffLink(ctx context.Context, sittingID SittingID, r Role, tokenHash func(renewals int) TokenHash,
		e Event) (StaffLink, error)
	// JoinStaff makes a session at a link that was renewed so many times, with the
	// next number of its role as label; ErrCode when the link was renewed since.
	JoinStaff(ctx context.Context, tokenHash TokenHash, renewals int, sessionHash TokenHash, s Session,
		e Event) (Session, error)
	AppendTemperature(ctx context.Context, m Measured, e Event) error
	Temperatures(ctx context.Context, sittingID SittingID) ([]Measured, error) // oldest first
}

// AssessorNote is a change of what is noted of an assessor. Nil leaves a thing
// as it is; a zero time takes it back.
type AssessorNote struct {
	Left, Rested *time.Time
	LeftSelf     bool // with Left: by their own wish
	Seat         *string
	Table        *int // the seat there is the lowest that is free
	Screening    []ScreenAnswer
}

// StudyNote is what is noted of how a study ends; nil leaves a thing as it is, and what was
// noted before stays.
type StudyNote struct{ LastCall, Closing *time.Time }

// TurnNote is a change of what is noted of a turn. Nil leaves a thing as it is; a
// zero time takes it back. Served is of every plate of the turn: one that was set
// down already keeps its moment.
type TurnNote struct{ Served, Refused, Passed *time.Time }

// Dropped is a code that a serving had before its plate was dropped.
type Dropped struct {
	ServingID ServingID
	Code      design.Code
	At        time.Time
	TakenBack time.Time // zero unless floor took the drop back
}

// Submitted is a submission as it is kept.
type Submitted struct {
	ID         string // made on the phone; unique for the assessor
	Seq        int    // the phone's count of its submissions; 0 = not counted
	AssessorID AssessorID
	TurnID     TurnID
	Answers    []Answer // none where there was nothing to say
	Comment    string
	EnteredBy  string // who of the staff; "" = the assessor
	At         time.Time
	Ended      bool          // the grace before the close is over: it counts as after the close
	Waited     time.Duration // how long the phone kept it before it was sent
	RestedAt   time.Time     // when the rinse after it is over, where it began before At; zero otherwise
}

// StaffLink is the join link of kitchen or floor at a sitting. Its code follows
// from the number of renewals.
type StaffLink struct {
	SittingID SittingID
	Role      Role
	Renewals  int
	Joined    int // how often somebody joined
}
