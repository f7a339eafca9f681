package panel

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// KitchenSheet is what the kitchen plates at a sitting. It has no field for names,
// sample ids, assessors, seats, answers or the study's question.
type KitchenSheet struct {
	Made     time.Time // when, in the study’s time zone
	Sitting  int
	Open     bool
	Replaced bool // prepared for an earlier version of the study: it never opens
	NotYet   bool // the sitting is prepared: Dishes say what to cook, and nothing says which code is what
	Invented bool
	Counts   Tally
	Pace     float64 // plates rated per minute, see [LiveSitting]
	Released Waves
	Ending
	PassLong time.Duration // how long a plate may wait at the pass before it is marked
	study.Contents
	Undealt  int           // plates of which it is dealt on arrival what they are: no dish counts them yet
	Dishes   []KitchenDish // in the order of the study file
	Waves    []KitchenWave
	Cautions []string
	Asks     []BlindAsk // of the floor, to see what a plate is
}

// KitchenDish is one dish.
type KitchenDish struct {
	ID      study.DishID
	Title   string
	Portion string
	Amount  string  // of what a study of amounts asks about: "6 g of salt per litre"; "" elsewhere
	ServeAt float64 // °C
	study.Contents
	Portions int  // at the sitting, the warm-ups among them
	Photo    bool // there is one, see [Service.Photo]
}

// KitchenWave is everything that is plated for one turn of everybody.
type KitchenWave struct {
	Number int // from 1: what everybody is given first, second, …
	WarmUp bool
	Plates []KitchenPlate // by code; those of a tray together, in the order in which they stand
	Counts []KitchenCount // by dish
	Log    []KitchenTemperature
}

// KitchenPlate is one plate.
type KitchenPlate struct {
	Code   design.Code
	DishID study.DishID
	State  PlateState
	Waits  time.Duration // PlateAtPass: for how long
	Tray   PlateCodes    // the codes of its tray, see [Turn.Key]; its own where it goes out by itself
	At     int           // its place on the tray, from 1
	Known  bool          // the reference of its tray
}

// PlateState is where a plate stands: when it is due, or what became of it.
type PlateState string

// The states of a plate.
const (
	PlateNow     PlateState = "now"         // somebody waits for it
	PlateAtPass  PlateState = "at the pass" // plated, and waits to be taken out
	PlateNext    PlateState = "next"        // due as soon as its guest has done what they are at
	PlateLater   PlateState = "later"       // its guest has other servings before it
	PlateNoGuest PlateState = "no guest"    // nobody has the place
	PlateServed  PlateState = "served"      // on the table
	PlateEaten   PlateState = "eaten"       // its turn is answered, whether or not floor noted it as served
	PlateNotGone PlateState = "not gone"    // refused, or the guest left
)

// KitchenCount is how many portions of a dish a wave has. The others add up to All.
type KitchenCount struct {
	DishID           study.DishID
	All              int
	Now, Next, Later int
	AtPass           int
	NoGuest, Served  int
	Eaten, NotGone   int
}

// add counts a plate.
func (c *KitchenCount) add(s PlateState) {
	c.All++
	switch s {
	case PlateNow:
		c.Now++
	case PlateAtPass:
		c.AtPass++
	case PlateNext:
		c.Next++
	case PlateLater:
		c.Later++
	case PlateNoGuest:
		c.NoGuest++
	case PlateServed:
		c.Served++
	case PlateEaten:
		c.Eaten++
	case PlateNotGone:
		c.NotGone++
	}
}

// KitchenTemperature is a measured temperature.
type KitchenTemperature struct {
	ID       int64
	Was      []float64 // what it corrects, oldest first
	DishID   study.DishID
	Celsius  float64
	At       time.Time // in the study’s time zone
	Who      string
	Cautions []string
}

// KitchenSheet returns the sheet of the kitchen's sitting.
func (s *Service) KitchenSheet(ctx context.Context, by Session) (KitchenSheet, error) {
	if err := by.may(ActPlate); err != nil {
		return KitchenSheet{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return KitchenSheet{}, err
	}
	sheet := KitchenSheet{Sitting: sitting.Number, Open: stored.State == Open, Invented: stored.Spec.Invented}
	sheet.Contents, sheet.Asks = stored.Spec.Contents(), s.blindAsksFor(by)
	sheet.Made = s.now().In(stored.Zone())
	sheet.PassLong, sheet.Ending = passLong(stored.Spec), stored.Ending()
	at, err := s.stand(ctx, stored)
	sheet.Replaced = at == StandReplaced
	if err != nil || at == StandOver || at == StandReplaced {
		return sheet, err // nothing more is plated
	}
	if err := s.dishes(ctx, &sheet, stored, sitting); err != nil {
		return KitchenSheet{}, err
	}
	sheet.Cautions = temperatureCautions()
	sheet.NotYet = May(by.Role, KnowKey, stored.State) == Nothing
	if sheet.NotYet {
		return sheet, nil
	}
	if err := s.waves(ctx, &sheet, stored, sitting); err != nil {
		return KitchenSheet{}, err
	}
	return sheet, nil
}

// dishes fills in what is cooked. How much of it is told for the sitting as a whole:
// with the codes of a wave, that of the wave could give a dish away before it opens.
func (s *Service) dishes(ctx context.Context, sheet *KitchenSheet, stored Study, sitting Sitting) error {
	photos, err := s.store.PhotoDishes(ctx, stored.ID)
	if err != nil {
		return err
	}
	turns, err := s.store.TurnsAt(ctx, stored.ID, sitting.Number)
	if err != nil {
		return err
	}
	portions := map[study.DishID]int{}
	for _, x := range turns {
		for _, v := range x.Servings {
			if dish, known := dishOf(stored.Spec, v); known {
				portions[dish]++
			} else {
				sheet.Undealt++
			}
		}
	}
	for _, d := range stored.Spec.Dishes {
		k := kitchenDish(d)
		if stored.Spec.Question.Kind().Amounts {
			k.Amount = stored.Spec.AmountsIn.Words(d.Amount)
		}
		k.Photo, k.Portions = slices.Contains(photos, d.ID), portions[d.ID]
		sheet.Dishes = append(sheet.Dishes, k)
	}
	return nil
}

func kitchenDish(d study.Dish) KitchenDish {
	return KitchenDish{ID: d.ID, Title: d.Title, Portion: d.Portion, ServeAt: d.ServeAt, Contents: d.Contents()}
}

// waves fills in what is plated. Plates stand by code, so that their order says
// nothing of who gets them.
func (s *Service) waves(ctx context.Context, sheet *KitchenSheet, stored Study, sitting Sitting) error {
	e, err := s.evening(ctx, stored)
	if err != nil {
		return err
	}
	taken := map[int]seatState{}
	for _, t := range e.seats {
		taken[t.assessor.Place] = t
	}
	sheet.Counts, sheet.Pace, sheet.Released = e.tally(sitting.Number), e.pace(sitting), e.wavesOf(sitting)
	for i, turns := range byWave(e.plated(sitting.Number)) {
		w := KitchenWave{Number: i + 1, WarmUp: turns[0].Role == design.WarmUp}
		for _, x := range turns {
			t, somebody := taken[x.Place]
			state := sheet.stopped(x, sitting.paced(w.Number, plateState(x, t, somebody, e.now)))
			w.Plates = append(w.Plates, kitchenPlates(stored.Spec, x, state, e.now)...)
		}
		w.count(stored.Spec)
		sheet.Waves = append(sheet.Waves, w)
	}
	return s.temperatures(ctx, sheet, stored, sitting)
}

// kitchenPlates are the plates of a turn that is in a state; one that is set down is out
// whatever its tray waits for.
func kitchenPlates(a *study.Study, x Turn, state PlateState, now time.Time) []KitchenPlate {
	var plates []KitchenPlate
	var waits time.Duration
	if due := state == PlateNow || state == PlateNext || state == PlateLater; due && !x.PassedAt.IsZero() {
		state, waits = PlateAtPass, max(now.Sub(x.PassedAt), 0)
	}
	for i, v := range x.Servings {
		dish, known := dishOf(a, v)
		if !known {
			continue
		}
		p := KitchenPlate{Code: v.Code, DishID: dish, State: state, Waits: waits, Tray: x.Key(),
			At: i + 1}
		p.Known = x.known(v)
		if !v.ServedAt.IsZero() && state != PlateNoGuest && state != PlateEaten {
			p.State = PlateServed
		}
		plates = append(plates, p)
	}
	return plates
}

// plateState says where the plates of a turn stand that are not set down, from where
// its seat does.
func plateState(x Turn, t seatState, somebody bool, now time.Time) PlateState {
	i := t.index(x.ID)
	if !somebody || i < 0 { // a place that somebody took at a later sitting
		return PlateNoGuest
	}
	_, answered := t.answered[x.ID]
	state := t.stateAt(x.Sitting, now)
	switch {
	case answered:
		return PlateEaten
	case !x.RefusedAt.IsZero(), state.gone():
		return PlateNotGone
	case state == SeatElsewhere:
		return PlateLater
	case state == SeatWaiting && i == t.next():
		return PlateNow
	case state == SeatTasting && i == t.plateFrom(t.next()+1), state != SeatTasting && i == t.plateFrom(t.next()):
		return PlateNext
	}
	return PlateLater
}

// count counts the plates of a wave by dish and puts them in order.
func (w *KitchenWave) count(a *study.Study) {
	slices.SortFunc(w.Plates, func(x, y KitchenPlate) int {
		return cmp.Or(cmp.Compare(x.Tray, y.Tray), cmp.Compare(x.At, y.At), cmp.Compare(x.DishID, y.DishID))
	})
	for _, d := range a.Dishes {
		c := KitchenCount{DishID: d.ID}
		for _, p := range w.Plates {
			if p.DishID == c.DishID {
				c.add(p.State)
			}
		}
		if c.All > 0 {
			w.Counts = append(w.Counts, c)
		}
	}
}

func (s *Service) temperatures(ctx context.Context, sheet *KitchenSheet, stored Study, sitting Sitting) error {
	log, err := s.store.Temperatures(ctx, sitting.ID)
	standing, was := corrected(log)
	for _, m := range standing {
		if m.Wave < 1 || m.Wave > len(sheet.Waves) {
			continue
		}
		d, _ := stored.Spec.Dish(m.Dish)
		w := &sheet.Waves[m.Wave-1]
		w.Log = append(w.Log, KitchenTemperature{ID: m.ID, Was: was[m.ID], DishID: m.Dish, Celsius: m.Celsius,
			At: m.At.In(stored.Zone()), Who: m.Who,
			Cautions: servingCautions(d.ServeAt, m.Celsius)})
	}
	return err
}

// corrected returns the entries that stand, and what each of them corrects.
func corrected(log []Measured) (standing []Measured, was map[int64][]float64) {
	gone := map[int64]bool{}
	was = map[int64][]float64{}
	before := map[int64]float64{}
	for _, m := range log {
		before[m.ID] = m.Celsius
		if m.Corrects != 0 {
			gone[m.Corrects] = true
			was[m.ID] = append(append([]float64{}, was[m.Corrects]...), before[m.Corrects])
		}
	}
	for _, m := range log {
		if !gone[m.ID] {
			standing = append(standing, m)
		}
	}
	return standing, was
}

// Temperature is what the kitchen enters.
type Temperature struct {
	Wave     int
	Dish     string
	Celsius  float64
	Sure     bool // it was asked again, see [ErrUnlikely]
	Act      PhoneAct
	Corrects int64 // the entry that was a typing error; 0 = none
}

// LogTemperature keeps the measured temperature of a dish in a wave, in °C, and
// returns what to mind. [ErrBadValue] when there is no such wave or dish, or the
// temperature is none that food has (−40 to 250 °C). [ErrUnlikely] when it is more than
// [TypedWithin] from what the study asks for and nobody has said that it is right. An
// entry that is corrected stays in the log.
func (s *Service) LogTemperature(ctx context.Context, by Session, in Temperature) ([]string, error) {
	wave, dishID, celsius := in.Wave, in.Dish, in.Celsius
	sitting, stored, err := s.at(ctx, by, ActPlate)
	if err != nil {
		return nil, err
	}
	if again := s.first(ctx, stored.ID, in.Act); again != nil {
		return nil, again
	}
	d, ok := stored.Spec.Dish(study.DishID(dishID))
	if !ok {
		return nil, fmt.Errorf("%w: no such dish", ErrBadValue)
	}
	if math.IsNaN(celsius) || celsius < -40 || celsius > 250 {
		return nil, fmt.Errorf("%w: write a temperature from −40 to 250 °C", ErrBadValue)
	}
	most, err := s.wavesAt(ctx, stored.ID, sitting.Number)
	if err != nil {
		return nil, err
	}
	if wave < 1 || wave > most {
		return nil, fmt.Errorf("%w: write a wave from 1 to %d", ErrBadValue, most)
	}
	if math.Abs(celsius-d.ServeAt) > TypedWithin && !in.Sure {
		return nil, ErrUnlikely
	}
	was, err := s.typedBefore(ctx, sitting, in.Corrects)
	if err != nil {
		return nil, err
	}
	m := Measured{Corrects: in.Corrects, SittingID: sitting.ID, Wave: wave, Dish: d.ID, Celsius: celsius,
		At:  s.now().Add(-in.Act.Waited),
		Who: by.Who()}
	e := s.event(stored.ID, by.Who(), "temperature", fmt.Sprintf("sitting %d, wave %d: %g °C%s", sitting.Number, wave,
		celsius, was))
	e.ActID = in.Act.ID
	if err := s.store.AppendTemperature(ctx, m, e); err != nil {
		return nil, fmt.Errorf("log a temperature: %w", err)
	}
	s.changed(stored.ID)
	return servingCautions(d.ServeAt, celsius), nil
}

// typedBefore says what an entry corrects, for the log. [ErrOverAlready] when that was
// corrected already or is none.
func (s *Service) typedBefore(ctx context.Context, sitting Sitting, id int64) (string, error) {
	if id == 0 {
		return "", nil
	}
	log, err := s.store.Temperatures(ctx, sitting.ID)
	if err != nil {
		return "", err
	}
	standing, _ := corrected(log)
	for _, m := range standing {
		if m.ID == id {
			return fmt.Sprintf(", corrects %g °C of wave %d", m.Celsius, m.Wave), nil
		}
	}
	return "", ErrOverAlready
}

// wavesAt returns how many waves a sitting has.
func (s *Service) wavesAt(ctx context.Context, studyID StudyID, sitting int) (int, error) {
	turns, err := s.store.TurnsAt(ctx, studyID, sitting)
	return len(byWave(turns)), err
}
