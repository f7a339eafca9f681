package panel

// Ids, tokens and codes are types of their own, so that the compiler keeps one from
// standing for another. Ids name what is stored; whoever holds a token or types a code
// is let in, so that of these only a hash is stored, see [TokenHash].
type (
	// StudyID names a study; random.
	StudyID string
	// SittingID names a sitting; random.
	SittingID string
	// AssessorID names an assessor and the seat that they have; random.
	AssessorID string

	// BlindAskID names a wish to know what a plate is; random.
	BlindAskID string

	// JoinToken stands in the link by which guests join a sitting.
	JoinToken string
	// SeatToken stands in the link to a guest's own ballot.
	SeatToken string
	// StaffToken stands in the link by which kitchen or floor join a sitting.
	StaffToken string
	// HandOverToken stands in the link by which the next of the floor takes over.
	HandOverToken string
	// StaffCode is what is typed behind that link: six digits.
	StaffCode string
	// TabletCode is what is typed on the house's tablet to open a guest's ballot: six digits.
	TabletCode string
	// InvitationToken stands in the link by which the partner chooses a password.
	InvitationToken string
	// SessionToken is what the browser of somebody who is signed in keeps.
	SessionToken string
)
