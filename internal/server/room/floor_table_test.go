package room_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/web"
)

// heldRoom is what a phone of the floor holds, as its script reads it.
type heldRoom struct {
	Seats     []heldSeat
	Standings map[string]struct {
		Look          string
		Known, Sealed []string
		Acts          []string
	}
	Acts  map[string]heldAct
	Later string
}

type heldSeat struct {
	ID, State, Was string
	Now            *heldTurn
	Ahead          []struct{ ID string }
	Over, Of       int
}

type heldTurn struct {
	ID, Code string
	Plates   []struct{ ID, Code string }
}

type heldAct struct {
	Turn, Plate, Undoes, Asks  bool
	To, Last, Sets, Path, Says string
	Field                      []string
}

func held(v *servertest.Visitor) (room heldRoom) {
	v.T.Helper()
	if err := json.Unmarshal([]byte(v.Get("/floor/ahead").Body), &room); err != nil {
		v.T.Fatal(err)
	}
	return room
}

// TestFloorTableIsWhatHappens goes through sittings at random: whatever a phone without
// network may note by the table is taken by the service, and leads to where the table
// says, so that the phone and the service go the same way.
func TestFloorTableIsWhatHappens(t *testing.T) {
	done := map[string]int{}
	for seed := range uint64(3) {
		f := servertest.New(t)
		id, join := f.InState(strings.NewReplacer("seed: 7}", "seed: 7, spare codes: 60}", "rinse: 0 s", "rinse: 30 s").
			Replace(servertest.Custard), panel.Open)
		v, draw := f.Staff(id, panel.RoleFloor), rand.New(rand.NewPCG(seed, 11))
		f.Began(join, "a-guest-with-a-phone-1")
		_, err := f.Svc.Consent(t.Context(), join, "a-guest-who-reads-first", panel.PhoneConsent{})
		f.Must(err)
		for range 3 {
			nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
			v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
		}
		for step := range 80 {
			if step%8 == 0 {
				f.Clock.Pass(time.Minute)
			}
			room := held(v)
			i := draw.IntN(len(room.Seats))
			if does := walk(f, v, draw, room, i, fmt.Sprint(step)); does != "" {
				done[does]++
			}
		}
	}
	for does, act := range held(freshFloor(t)).Acts {
		if act.To+act.Last != "" && does != "expects" && does != "skipped" && done[does] == 0 {
			t.Errorf("%q never happened: %v", does, done)
		}
	}
}

func freshFloor(t *testing.T) *servertest.Visitor {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	return f.Staff(id, panel.RoleFloor)
}

// walk notes one act at a seat, as the script does, and compares where that leads.
func walk(f *servertest.Fixture, v *servertest.Visitor, draw *rand.Rand, room heldRoom, i int, id string) string {
	v.T.Helper()
	seat := room.Seats[i]
	acts := slices.DeleteFunc(slices.Clone(room.Standings[seat.State].Acts), func(does string) bool {
		return room.Acts[does].Turn && seat.Now == nil // its codes are not known
	})
	if len(acts) == 0 {
		return ""
	}
	does := acts[draw.IntN(len(acts))]
	rule := room.Acts[does]
	if rule.To+rule.Last == "" && !rule.Undoes { // what leads nowhere happens less often
		does = acts[draw.IntN(len(acts))]
		rule = room.Acts[does]
	}
	values := []string{"{over}", fmt.Sprint(seat.Over)}
	if rule.Turn {
		values = append(values, "{turn}", seat.Now.ID, "{code}", seat.Now.Code)
	}
	if rule.Plate {
		values = slices.Concat([]string{"{plate}", seat.Now.Plates[0].ID, "{code}", seat.Now.Plates[0].Code}, values)
	}
	in := strings.NewReplacer(values...)
	fields := []string{"id", id, "a1", "42", "a2", "6"}
	if rule.Field != nil {
		fields = append(fields, rule.Field[0], in.Replace(rule.Field[1]))
	}
	got := act(v, "/floor/seats/"+seat.ID+"/"+in.Replace(rule.Path), fields...)
	if got.Outcome != "done" {
		v.T.Errorf("%s where a seat is %s: %+v", does, seat.State, got)
	}
	to := rule.To
	if to == "" {
		to = seat.State
	}
	switch {
	case rule.Undoes:
		to = seat.Was
	case rule.Last != "" && len(seat.Ahead) == 0:
		to = rule.Last
	}
	now := held(v).Seats[i]
	look := room.Standings[now.State].Look
	if now.State == "rinsing" && does != "rested" { // no phone counts that without network
		look = "waiting"
	}
	if want := room.Standings[to].Look; look != want && now.State != to {
		v.T.Errorf("%s leads from %s to %s, the table says %s", does, seat.State, now.State, to)
	}
	return does
}

// TestFloorTableIsWhole: every state of a seat has its row, every act leads to one, and
// no text waits for a value that nobody puts in.
func TestFloorTableIsWhole(t *testing.T) {
	room := held(freshFloor(t))
	for _, state := range []panel.SeatState{panel.SeatStarting, panel.SeatReading, panel.SeatWaiting, panel.SeatTasting,
		panel.SeatRinsing, panel.SeatElsewhere, panel.SeatFinished, panel.SeatLeft, panel.SeatWithdrawn,
		panel.SeatStopped} {
		if room.Standings[string(state)].Look != string(state) {
			t.Errorf("no row for %s", state)
		}
	}
	known := regexp.MustCompile(`\{(label|over|turn|plate|code|was|number|place|table|opens)\}`)
	for name, row := range room.Standings {
		for _, does := range row.Acts {
			if _, found := room.Acts[does]; !found {
				t.Errorf("%s: no act %q", name, does)
			}
		}
		if text := strings.Join(slices.Concat(row.Known, row.Sealed), " "); strings.Contains(
			known.ReplaceAllString(text, ""), "{") {
			t.Errorf("%s: %s", name, text)
		}
	}
	for does, act := range room.Acts {
		for _, to := range []string{act.To, act.Last} {
			if _, found := room.Standings[to]; to != "" && !found {
				t.Errorf("%s leads to %q, which is nowhere", does, to)
			}
		}
		text := strings.Join(append([]string{act.Path, act.Says}, act.Field...), " ")
		if strings.Contains(known.ReplaceAllString(text, ""), "{") {
			t.Errorf("%s: %s", does, text)
		}
	}
	if _, found := room.Standings[room.Later]; !found {
		t.Errorf("no row for %q", room.Later)
	}
}

// TestFloorScriptsNameNoState: the floor's scripts know a seat's states and acts from the
// service alone.
func TestFloorScriptsNameNoState(t *testing.T) {
	room := held(freshFloor(t))
	comments := regexp.MustCompile(`(?s)/\*\*.*?\*/|//[^\n]*`)
	for _, file := range []string{"floor.js", "floor_ahead.js", "floor_offline.js"} {
		text, err := fs.ReadFile(web.FS, "static/"+file)
		if err != nil {
			t.Fatal(err)
		}
		code := comments.ReplaceAllString(string(text), "")
		names := []string{}
		for name := range room.Standings {
			names = append(names, name)
		}
		for does := range room.Acts {
			names = append(names, does)
		}
		for _, name := range names {
			x := regexp.QuoteMeta(name)
			spoken := regexp.MustCompile("[\"'`]" + x + "[\"'`]|\\." + x + "\\b|[{,\\s]" + x + ":")
			if found := spoken.FindString(code); found != "" {
				t.Errorf("%s says %s", file, found)
			}
		}
	}
}
