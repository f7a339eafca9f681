package panel_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// heldAhead is what of a later turn a phone of the floor has: what its seal opens to, and
// the order of its questions.
type heldAhead struct {
	plates string
	asks   []panel.Ask
}

// TestEveryExampleGoesOnWithoutNetwork holds what phones keep of later turns of every
// example, opens each seal with the codes on the plates, and compares it with what the
// service shows when that turn has come, to the guest and to the floor.
func TestEveryExampleGoesOnWithoutNetwork(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			n := newNight(t, string(text))
			guest, floor, turns := n.heldAndShown()
			if turns < 1 || len(guest) != turns-1 || len(floor) != turns-1 {
				t.Errorf("%d turns came; the guest's phone held %d, the floor's %d", turns, len(guest), len(floor))
			}
		})
	}
}

// heldAndShown takes one guest to the end and compares on the way.
func (n *night) heldAndShown() (guest map[panel.TurnID]panel.TurnView, floor map[panel.TurnID]heldAhead, turns int) {
	levels := map[string]int{} // those who are dealt on arrival say the first of each group
	for i := range of[panel.Study](n)(n.svc.Study(n.t.Context(), n.study)).Spec.Serving.Strata {
		levels[fmt.Sprintf("g%d", i+1)] = 1
	}
	token := of[panel.SeatToken](n)(n.svc.Consent(n.t.Context(), n.sitting.Join, "one",
		panel.PhoneConsent{Levels: levels}))
	for range 60 {
		b := ballot(n.t, n.svc, token)
		switch b.Stage {
		case panel.StageInstructions:
			n.must(n.svc.Start(n.t.Context(), token))
			continue
		case panel.StageScreening:
			n.screen(token, map[string]study.Reply{"s1": study.No, "s2": study.No})
			continue
		case panel.StageRinse:
			n.clock.pass(5 * time.Minute)
			continue
		case panel.StagePlate:
			n.must(n.svc.OpenPlate(n.t.Context(), token, b.Gate.ID, string(b.Gate.Typed)))
			continue
		case panel.StageServing:
			turns++
			if guest == nil {
				guest, floor = n.openAhead(token)
			} else {
				n.wantHeld(guest[b.Turn.ID], floor[b.Turn.ID], b.Turn)
			}
		case panel.StageNames:
		default:
			return guest, floor, turns
		}
		_, err := n.svc.Submit(n.t.Context(), token, panel.Submission{ID: "page/" + string(b.Turn.ID),
			TurnID: b.Turn.ID, Given: anyAnswers(b.Turn)})
		n.must(err)
	}
	n.t.Fatal("a ballot without an end")
	return nil, nil, 0
}

// openAhead opens what the guest's phone and the floor's hold of later turns.
func (n *night) openAhead(token panel.SeatToken) (map[panel.TurnID]panel.TurnView, map[panel.TurnID]heldAhead) {
	guest, floor := map[panel.TurnID]panel.TurnView{}, map[panel.TurnID]heldAhead{}
	codes := map[panel.TurnID]panel.PlateCodes{}
	for _, g := range of[panel.PaperBallots](n)(n.svc.PaperBallots(n.t.Context(), n.floor)).Guests {
		for _, x := range g.Turns {
			codes[x.ID] = x.Code
		}
	}
	key := func(s panel.Sealed) string {
		all := strings.Fields(string(codes[s.ID]))
		if len(all) != s.Plates || s.Codes != len(all) {
			n.t.Errorf("turn %d has codes %q, and says %d plates and %d codes", s.Number, all, s.Plates, s.Codes)
		}
		return string(codes[s.ID])
	}
	for _, s := range of[panel.Held](n)(n.svc.Ahead(n.t.Context(), token)).Ahead {
		var v panel.TurnView
		n.must(json.Unmarshal(of[[]byte](n)(openSeal(s, key(s))), &v))
		guest[s.ID] = v
	}
	room := of[panel.RoomAhead](n)(n.svc.RoomAhead(n.t.Context(), n.floor))
	for _, s := range room.Seats[0].Ahead {
		var v struct {
			Response study.Response
			Plates   []panel.BallotPlate
		}
		n.must(json.Unmarshal(of[[]byte](n)(openSeal(s, key(s))), &v))
		for i := range v.Plates {
			v.Plates[i].At = i + 1
		}
		for i := range room.In["en"].Asks[v.Response] { // what pages of staff alone say
			ask := &room.In["en"].Asks[v.Response][i]
			ask.Number, ask.Language = false, ""
		}
		floor[s.ID] = heldAhead{fmt.Sprint(v.Plates), inHeldOrder(room.In["en"].Asks[v.Response], room.Orders[s.ID])}
	}
	return guest, floor
}

// inHeldOrder is what the floor's script does with an order.
func inHeldOrder(asks []panel.Ask, order []panel.AskOrder) (all []panel.Ask) {
	for _, o := range order {
		ask := asks[slices.IndexFunc(asks, func(a panel.Ask) bool { return a.Field == o.Field })]
		if labels := slices.Clone(ask.Labels); o.Values != nil {
			for i, v := range o.Values {
				labels[i] = ask.Labels[slices.Index(ask.Values, v)]
			}
			ask.Labels, ask.Values = labels, o.Values
		}
		all = append(all, ask)
	}
	if len(order) == 0 {
		return asks
	}
	return all
}

// wantHeld compares what was held of a turn with what is shown now.
func (n *night) wantHeld(guest panel.TurnView, floor heldAhead, now panel.BallotTurn) {
	n.t.Helper()
	if diff := cmp.Diff(guest, now.View()); diff != "" {
		n.t.Errorf("turn %d as the guest's phone held it, and now: %s", now.Number, diff)
	}
	if got := fmt.Sprint(now.Plates); got != floor.plates {
		n.t.Errorf("turn %d: the floor held plates %s, now they are %s", now.Number, floor.plates, got)
	}
	asks := slices.Clone(now.Asks)
	for i := range asks {
		asks[i].Plates = nil
	}
	if diff := cmp.Diff(floor.asks, asks); diff != "" {
		n.t.Errorf("turn %d: what the floor held to ask, and what is asked: %s", now.Number, diff)
	}
}

// anyAnswers answers each question of a turn: a fifth along a line, the first of a list.
func anyAnswers(turn panel.BallotTurn) map[string]string {
	given := map[string]string{}
	for _, a := range turn.Asks {
		switch {
		case a.Line:
			given[a.Field] = "20"
		case a.Rank:
			var places []string
			for i := range a.Plates {
				places = append(places, strconv.Itoa(i+1))
			}
			given[a.Field] = strings.Join(places, panel.BetweenAnswers)
		case len(a.Labels) > 0:
			given[a.Field] = "1"
		default:
			given[a.Field] = strconv.Itoa(a.Plates[len(a.Plates)-1].At)
		}
	}
	return given
}
