package panel

// TurnView is a turn as phones' scripts read it: inside a seal, and beside one. It is
// what [BallotTurn] holds, and no more.
type TurnView struct {
	ID      TurnID        `json:"id"`
	Number  int           `json:"number"`
	Of      int           `json:"of"`
	Code    PlateCodes    `json:"code"`
	Read    string        `json:"read"` // the name that is read; "" where plates are served
	Plates  []BallotPlate `json:"plates"`
	Asks    []Ask         `json:"asks"`
	Comment string        `json:"comment"`
}

// View is the turn as scripts read it.
func (b BallotTurn) View() TurnView {
	v := TurnView{ID: b.ID, Number: b.Number, Of: b.Of, Code: b.Code, Comment: b.AskComment}
	v.Plates, v.Asks = append([]BallotPlate{}, b.Plates...), append([]Ask{}, b.Asks...)
	if b.Read {
		v.Read = b.Name
	}
	return v
}
