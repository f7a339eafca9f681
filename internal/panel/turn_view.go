package panel

// TurnView is a turn as phones' scripts read it: inside a seal, and beside one. It is
// what [BallotTurn] holds, and no more.
type TurnView struct {
	ID      TurnID      `json:"id"`
	Number  int         `json:"number"`
	Of      int         `json:"of"`
	Code    string      `json:"code"`
	Read    string      `json:"read"` // the name that is read; "" where plates are served
	Plates  []PlateView `json:"plates"`
	Asks    []AskView   `json:"asks"`
	Comment string      `json:"comment"`
}

// PlateView is one plate of it.
type PlateView struct {
	At    int    `json:"at"`
	Code  string `json:"code"`
	Name  string `json:"name"`
	Known bool   `json:"known"`
}

// AskView is one question.
type AskView struct {
	Field  string      `json:"field"`
	Text   string      `json:"text"`
	Line   bool        `json:"line"`
	Low    string      `json:"low"`
	High   string      `json:"high"`
	From   float64     `json:"from"`
	To     float64     `json:"to"`
	Number bool        `json:"number"`
	Labels []string    `json:"labels"`
	Plates []PlateView `json:"plates"`
	None   string      `json:"none"`
}

// View is the turn as scripts read it.
func (b BallotTurn) View() TurnView {
	v := TurnView{ID: b.ID, Number: b.Number, Of: b.Of, Code: b.Code, Plates: []PlateView{}, Asks: ViewAsks(b.Asks), Comment: b.AskComment}
	if b.Read {
		v.Read = b.Name
	}
	for _, p := range b.Plates {
		v.Plates = append(v.Plates, PlateView(p))
	}
	return v
}

// ViewAsks are questions as scripts read them.
func ViewAsks(asks []Ask) []AskView {
	views := []AskView{}
	for _, a := range asks {
		v := AskView{Field: a.Field, Text: a.Text, Line: a.Line, Low: a.Low, High: a.High, From: a.From, To: a.To,
			Number: a.Number, Labels: a.Labels, None: a.None}
		for _, o := range a.Plates {
			v.Plates = append(v.Plates, PlateView(o))
		}
		views = append(views, v)
	}
	return views
}
