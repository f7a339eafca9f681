package room

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

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
	say           site.Tongue
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
	say := site.TongueOf(c)
	sheet.Contents = sheet.In(say.Tag())
	page := kitchenPage{StaffFrame: site.StaffFrameFor(c, by.Role, "Kitchen", sheet.Sitting, sheet.Invented),
		Sheet:  sheet,
		Joined: site.JoinedWords(say, sheet.Counts), Asks: shownAsks(say, sheet.Asks, "/kitchen")}
	dishes := map[study.DishID]panel.KitchenDish{}
	for _, d := range sheet.Dishes {
		dishes[d.ID] = d
		if sheet.NotYet {
			page.ToCook = append(page.ToCook, newWaveDish(say, d))
		}
	}
	for _, w := range sheet.Waves {
		page.Waves = append(page.Waves, newWave(say, w, dishes))
	}
	page.Pass, page.PassLong = atPass(say, sheet), site.Minutes(say, sheet.PassLong)
	page.Cold, page.Hot = panel.ColdUS, panel.HotUK
	for _, state := range []panel.PlateState{panel.PlateNow, panel.PlateNext} {
		page.Due = append(page.Due, newDue(say, sheet, state))
	}
	return page, nil
}

// newDue gathers the plates of all waves that are due at one time, by dish and code.
func newDue(say site.Tongue, sheet panel.KitchenSheet, state panel.PlateState) due {
	d := due{State: state}
	for _, w := range sheet.Waves {
		for _, t := range traysOf(w.Plates) {
			if t.waits(state) {
				d.Trays = append(d.Trays, t)
			}
		}
	}
	for _, dish := range sheet.Dishes {
		x := newWaveDish(say, dish)
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

func newWaveDish(say site.Tongue, d panel.KitchenDish) waveDish {
	return waveDish{KitchenDish: d, say: say, Serve: site.Degrees(d.ServeAt),
		AllergenWords: d.In(say.Tag()).WordsIn(say.Translate)}
}

func byCode(a, b panel.KitchenPlate) int { return cmp.Compare(a.Code, b.Code) }

// newWave is a wave as a page lists it: plates stand by code, so that one is found
// by its label whatever the moment.
func newWave(say site.Tongue, w panel.KitchenWave, dishes map[study.DishID]panel.KitchenDish) wave {
	one := wave{Number: w.Number, WarmUp: w.WarmUp, Over: true, Trays: traysOf(w.Plates)}
	for _, n := range w.Counts {
		x := newWaveDish(say, dishes[n.DishID])
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
			m.At.Format("15:04"), whoWords(say, m.Who), cautionWords(say, m.Cautions,
				m.Celsius-dishes[m.DishID].ServeAt, dishes[m.DishID].ServeAt)})
	}
	return one
}

// cautionWords are cautions about a temperature in a language; off is how far it is from that at
// which the dish is served.
func cautionWords(say site.Tongue, cautions []string, off, serveAt float64) (all []string) {
	for _, text := range cautions {
		words := say.Translate(text)
		for _, far := range []string{farAbove, farBelow} {
			if values := []any{math.Abs(off), serveAt}; text == fmt.Sprintf(far, values...) {
				words = say.Translate(far, values...)
			}
		}
		all = append(all, words)
	}
	return all
}

// What panel says of a dish that is warmer or colder than its study has it.
const (
	farAbove = "%.3g °C above the %.3g °C at which the study has it served: guests would compare temperatures, " +
		"not dishes."
	farBelow = "%.3g °C below the %.3g °C at which the study has it served: guests would compare temperatures, " +
		"not dishes."
)

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
			parts = append(parts, fmt.Sprintf("%d %s", x.n, d.say.Translate(x.words)))
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
				Sure: form("sure") == form("celsius"), Corrects: entryOf(form("corrects")), Act: phoneActOf(c)})
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
		say := page.Tongue()
		page.Problem = say.Translate("Not kept. Choose a wave and a dish, and write a temperature in °C from −40 to " +
			"250, for example 61.5.")
		if unlikely {
			page.Problem, page.Unlikely = say.Translate("Not kept yet: %s is more than 20 °C from the "+
				"temperature that the study asks for. Is it a typing error?", site.Degrees(celsius)), form("celsius")
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
		c.JSON(http.StatusUnprocessableEntity, wireAct{"incomplete",
			site.TongueOf(c).Translate("Not kept: enter this temperature again."), ""})
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
				p.Corrects, p.Celsius = id, site.Number(m.Celsius)
				p.Dish, p.InWave = string(m.DishID), strconv.Itoa(w.Number)
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
			return s.Part(kitchenScreen.Name, page.Language(), "to cook", page)
		}
		if waits || !page.Sheet.Open {
			return nil, site.ErrOver
		}
		return s.Part(kitchenScreen.Name, page.Language(), "waves", page)
	})
}

// printedAt is when a sheet was made: a plan on paper does not keep itself fresh.
func (p kitchenPage) PrintedAt() string { return p.Tongue().Moment(p.Sheet.Made) }

// kitchenPhoto gives the photo of a dish to the kitchen that plates it.
func (s *handlers) kitchenPhoto(c *gin.Context) error {
	return s.SendPhoto(c, site.SessionOf(c).StudyID)
}
