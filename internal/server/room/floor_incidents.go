package room

import (
	"slices"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// incidentTexts are what stands on the buttons, and what floor is told afterwards.
var incidentTexts = map[panel.Incident]struct{ button, told string }{
	panel.AteAnother:  {"Ate from a wrong plate", "wrong"},
	panel.TastedEarly: {"Tasted too early", "wrong"},
	panel.Talked:      {"Talked about it", "wrong"},
	panel.Spilt:       {"Part of it was spilt", "wrong"},
	panel.Unwell:      {"Feels unwell", "unwell"},
}

// incidentActs are the rows of [floorActs] for what went wrong.
func incidentActs() (acts []floorAct) {
	rows := func(what panel.Incident, of scope, in, away []standing) floorAct {
		return floorAct{Does: string(what), Of: of, In: in, Away: away, Turn: true, Fold: true,
			Path: "turns/{turn}/incidents/" + string(what), Says: "{code}, " + what.Words(),
			Text: same(incidentTexts[what].button), what: what}
	}
	for _, what := range panel.Incidents() {
		acts = append(acts, rows(what, ofWrong, notGone, onATurn))
	}
	for _, what := range panel.Incidents() {
		back := rows(what, ofNoted, notGone, nil)
		back.Does, back.Path, back.Says = "not-"+back.Does, back.Path+"/taken-back", "{code}, not so: "+what.Words()
		back.Text = same("Take that back")
		acts = append(acts, back)
	}
	return acts
}

// atTurn is a turn of a seat with what went wrong there.
type atTurn struct {
	subject
	incidents []panel.Incident
}

func turnsWithPlates(t panel.FloorSeat) []atTurn {
	return []atTurn{
		{subject{turn: t.Next.ID, code: t.Next.Code, number: t.Next.Number}, t.Next.Incidents},
		{subject{turn: t.Rated.ID, code: t.Rated.Code, number: t.Rated.Number}, t.Rated.Incidents},
	}
}

// wrongTurn is what a seat's page offers of a turn with which something went wrong.
type wrongTurn struct {
	Code  panel.PlateCodes
	Rated bool
	Acts  []shownAct
	Noted []notedWrong
}

type notedWrong struct {
	Words string
	Back  shownAct
}

// wentWrong lists the turns of a seat of which something can be noted, or was.
func wentWrong(say site.Tongue, t panel.FloorSeat) (list []wrongTurn) {
	for i, x := range turnsWithPlates(t) {
		w := wrongTurn{Code: x.code, Rated: i == 1}
		for _, act := range floorActs {
			if act.what == "" || x.turn == "" || !slices.Contains(act.In, standingOf(t.State, t)) ||
				slices.Contains(x.incidents, act.what) != (act.Of == ofNoted) {
				continue
			}
			if act.Of == ofNoted {
				w.Noted = append(w.Noted, notedWrong{site.Sentence(say.Translate(act.what.Words())),
					act.shown(say, t, x.subject)})
				continue
			}
			w.Acts = append(w.Acts, act.shown(say, t, x.subject))
		}
		if len(w.Acts)+len(w.Noted) > 0 {
			list = append(list, w)
		}
	}
	return list
}

func (s *handlers) wentWrong(c *gin.Context) error {
	what := panel.Incident(c.Param("what"))
	err := s.Panel.NoteIncident(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), what,
		phoneActOf(c))
	key := incidentTexts[what].told
	words := ""
	if what == panel.Unwell { // what has to be done is said to phones that told it later, too
		words = site.TongueOf(c).Translate(told[key])
	}
	return acted(c, err, seatTold(c, key), words)
}

func (s *handlers) notWrong(c *gin.Context) error {
	err := s.Panel.TakeBackIncident(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")),
		panel.Incident(c.Param("what")), phoneActOf(c))
	return acted(c, err, seatTold(c, "right"), "")
}
