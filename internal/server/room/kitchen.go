package room

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// kitchenPage is the kitchen's sheet. It is built from [panel.KitchenSheet], which
// holds no name and no assessor.
type kitchenPage struct {
	site.StaffFrame
	Sheet  panel.KitchenSheet
	Joined string // where everybody stands who has joined, in words
	Due    []due  // now and next
	Waves  []wave
	ToCook []waveDish // before the sitting opens
	// The form that logs a temperature, as it was sent when it comes back.
	Problem               string
	Unlikely              string // the temperature that was typed, when it is asked again
	Corrects              int64  // the entry that is corrected; 0 = a new one
	Celsius, Dish, InWave string
	Asks                  []shownAsk // to see what a plate is
	Pass                  []passed   // what stands at the pass
	PassLong              string     // from when on it is marked
	Cold, Hot             int        // °C, between which food is not held
}

// due is what is plated now, or next.
type due struct {
	State  panel.PlateState
	Count  int
	Dishes []waveDish
	Trays  []tray
}

// tray is several plates that go out together, in the order in which they stand before
// the guest.
type tray []panel.KitchenPlate

// traysOf gathers plates that come tray by tray; those that go out by themselves are
// none.
func traysOf(plates []panel.KitchenPlate) (trays []tray) {
	for i, p := range plates {
		switch {
		case p.Tray == panel.PlateCodes(p.Code):
		case i > 0 && p.Tray == plates[i-1].Tray:
			trays[len(trays)-1] = append(trays[len(trays)-1], p)
		default:
			trays = append(trays, tray{p})
		}
	}
	return trays
}

// waits reports whether a plate of the tray is in a state.
func (t tray) waits(state panel.PlateState) bool {
	return slices.ContainsFunc(t, func(p panel.KitchenPlate) bool { return p.State == state })
}

// wave is everything that is plated for one turn of everybody.
type wave struct {
	Number int
	WarmUp bool
	Over   bool // nothing of it is still to plate
	Dishes []waveDish
	Trays  []tray
	Log    []measured
}

// waveDish is one dish of a wave with the codes that its plates carry.
type waveDish struct {
	panel.KitchenDish
	panel.KitchenCount
	Serve         string // serving temperature, in words
	AllergenWords string
	Plates        []panel.KitchenPlate
}

// measured is one logged temperature, for reading.
type measured struct {
	ID                     int64
	Was                    string // what it corrects; "" = nothing
	Dish, Celsius, At, Who string
	Cautions               []string
}

var (
	kitchenScreen = site.StaffScreen[kitchenPage]("room/kitchen")
	platingScreen = site.StaffScreen[kitchenPage]("room/plating")
)

func (s *handlers) kitchen(c *gin.Context) error {
	page, err := s.kitchenPage(c)
	if err != nil {
		return err
	}
	page.correcting(entryOf(c.Query("correct")))
	return site.Show(s.Site, c, http.StatusOK, kitchenScreen, page)
}

// plating is the sheet to print.
func (s *handlers) plating(c *gin.Context) error {
	page, err := s.kitchenPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, platingScreen, page)
}

func (s *handlers) kitchenPage(c *gin.Context) (kitchenPage, error) {
	ctx, by := c.Request.Context(), site.SessionOf(c)
	sheet, err := s.Panel.KitchenSheet(ctx, by)
	if err != nil {
		return kitchenPage{}, err
	}
	page := kitchenPage{StaffFrame: site.StaffFrameFor(by, "Kitchen", sheet.Sitting, sheet.Invented), Sheet: sheet,
		Joined: site.JoinedWords(sheet.Counts), Asks: shownAsks(sheet.Asks, "/kitchen")}
	dishes := map[string]panel.KitchenDish{}
	for _, d := range sheet.Dishes {
		dishes[d.ID] = d
		if sheet.NotYet {
			page.ToCook = append(page.ToCook, newWaveDish(d))
		}
	}
	for _, w := range sheet.Waves {
		page.Waves = append(page.Waves, newWave(w, dishes))
	}
	page.Pass, page.PassLong = atPass(sheet), site.Minutes(sheet.PassLong)
	page.Cold, page.Hot = panel.ColdUS, panel.HotUK
	for _, state := range []panel.PlateState{panel.PlateNow, panel.PlateNext} {
		page.Due = append(page.Due, newDue(sheet, state))
	}
	return page, nil
}

// newDue gathers the plates of all waves that are due at one time, by dish and code.
func newDue(sheet panel.KitchenSheet, state panel.PlateState) due {
	d := due{State: state}
	for _, w := range sheet.Waves {
		for _, t := range traysOf(w.Plates) {
			if t.waits(state) {
				d.Trays = append(d.Trays, t)
			}
		}
	}
	for _, dish := range sheet.Dishes {
		x := newWaveDish(dish)
		for _, w := range sheet.Waves {
			for _, p := range w.Plates {
				if p.DishID == dish.ID && p.State == state {
					x.Plates = append(x.Plates, p)
				}
			}
		}
		if len(x.Plates) == 0 {
			continue
		}
		slices.SortFunc(x.Plates, byCode)
		d.Count += len(x.Plates)
		d.Dishes = append(d.Dishes, x)
	}
	return d
}

func newWaveDish(d panel.KitchenDish) waveDish {
	return waveDish{KitchenDish: d, Serve: site.Degrees(d.ServeAt), AllergenWords: d.Words()}
}

func byCode(a, b panel.KitchenPlate) int { return cmp.Compare(a.Code, b.Code) }

// newWave is a wave as a page lists it: plates stand by code, so that one is found
// by its label whatever the moment.
func newWave(w panel.KitchenWave, dishes map[string]panel.KitchenDish) wave {
	one := wave{Number: w.Number, WarmUp: w.WarmUp, Over: true, Trays: traysOf(w.Plates)}
	for _, n := range w.Counts {
		x := newWaveDish(dishes[n.DishID])
		x.KitchenCount = n
		for _, p := range w.Plates {
			if p.DishID == n.DishID {
				x.Plates = append(x.Plates, p)
			}
		}
		slices.SortFunc(x.Plates, byCode)
		one.Over = one.Over && n.Served+n.Eaten+n.NotGone == n.All
		one.Dishes = append(one.Dishes, x)
	}
	for _, m := range w.Log {
		one.Log = append(one.Log, measured{m.ID, wasWords(m.Was), dishes[m.DishID].Title, site.Degrees(m.Celsius),
			m.At.Local().Format("15:04"), m.Who, m.Cautions})
	}
	return one
}

// How says how many plates of a dish are due when; what is not the case is left out.
func (d waveDish) How() string {
	var parts []string
	for _, x := range []struct {
		n     int
		words string
	}{{d.Now, "now"}, {d.AtPass, "at the pass"}, {d.Next, "next"}, {d.Later, "later"},
		{d.NoGuest, "without a guest yet"},
		{d.Served, "out"},
		{d.Eaten, "eaten"}, {d.NotGone, "not wanted"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.words))
		}
	}
	return strings.Join(parts, ", ")
}

// measure keeps a temperature. What to mind about it stands in the log.
func (s *handlers) measure(c *gin.Context) error {
	form := c.Request.PostFormValue
	celsius, err := readCelsius(form("celsius"))
	number, numberErr := strconv.Atoi(form("wave"))
	if err == nil && numberErr != nil {
		err = fmt.Errorf("%w: choose a wave", panel.ErrBadValue)
	}
	if err == nil {
		_, err = s.Panel.LogTemperature(c.Request.Context(), site.SessionOf(c),
			panel.Temperature{Wave: number, Dish: form("dish"), Celsius: celsius,
				Sure: form("sure") == form("celsius"), Corrects: entryOf(form("corrects")), Once: onceOf(c)})
	}
	if site.WantsJSON(c) {
		return measuredByScript(c, err, number)
	}
	unlikely := errors.Is(err, panel.ErrUnlikely)
	if unlikely || errors.Is(err, panel.ErrBadValue) {
		page, failed := s.kitchenPage(c)
		if failed != nil {
			return failed
		}
		page.Problem = "Not kept. Choose a wave and a dish, and write a temperature in °C from −40 to 250, for " +
			"example 61.5."
		if unlikely {
			page.Problem, page.Unlikely = "Not kept yet: "+site.Degrees(celsius)+" is more than 20 °C from the "+
				"temperature that the study asks for. Is it a typing error?", form("celsius")
		}
		page.Celsius, page.Dish, page.InWave, page.Corrects = form("celsius"), form("dish"), form("wave"),
			entryOf(form("corrects"))
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, kitchenScreen, page)
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/kitchen#wave-"+strconv.Itoa(number))
}

// measuredByScript answers a device that kept a temperature: what the page would ask again is
// incomplete, and the device shows the page.
func measuredByScript(c *gin.Context, err error, wave int) error {
	if errors.Is(err, panel.ErrUnlikely) || errors.Is(err, panel.ErrBadValue) {
		c.JSON(http.StatusUnprocessableEntity, wireAct{"incomplete", "Not kept: enter this temperature again.", ""})
		return nil
	}
	return acted(c, err, "/kitchen#wave-"+strconv.Itoa(wave), "")
}

// entryOf reads the number of an entry of the log; 0 when it is none.
func entryOf(text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// wasWords says what an entry corrects.
func wasWords(was []float64) string {
	var words []string
	for _, x := range was {
		words = append(words, site.Degrees(x))
	}
	return strings.Join(words, ", ")
}

// correcting fills the form with the entry that the address names.
func (p *kitchenPage) correcting(id int64) {
	for _, w := range p.Sheet.Waves {
		for _, m := range w.Log {
			if id != 0 && m.ID == id {
				p.Corrects, p.Celsius, p.Dish, p.InWave = id, site.Number(m.Celsius), m.DishID, strconv.Itoa(w.Number)
			}
		}
	}
}

// readCelsius reads a temperature as people type it: with a comma or a point, a
// minus sign of either kind, and a degree sign or none.
func readCelsius(text string) (float64, error) {
	text = strings.NewReplacer(",", ".", "−", "-", "°C", "", "°", "").Replace(text)
	v, err := study.ParseNumber(strings.TrimSpace(text))
	if err != nil {
		return 0, fmt.Errorf("%w: no temperature", panel.ErrBadValue)
	}
	return v, nil
}

// kitchenEvents streams the waves.
func (s *handlers) kitchenEvents(c *gin.Context) error {
	return s.Stream(c, site.Kitchen, site.SessionOf(c).StudyID, func() ([]byte, error) {
		page, err := s.kitchenPage(c)
		if err != nil {
			return nil, err
		}
		waits := c.Query("before") != "" // the page that was shown before the sitting opened
		if waits && page.Sheet.NotYet {
			return s.Part(kitchenScreen.Name, "to cook", page)
		}
		if waits || !page.Sheet.Open {
			return nil, site.ErrOver
		}
		return s.Part(kitchenScreen.Name, "waves", page)
	})
}

// printedAt is when a sheet was made: a plan on paper does not keep itself fresh.
func (p kitchenPage) PrintedAt() string { return site.Moment(time.Now()) }

// kitchenPhoto gives the photo of a dish to the kitchen that plates it.
func (s *handlers) kitchenPhoto(c *gin.Context) error {
	return s.SendPhoto(c, site.SessionOf(c).StudyID)
}
