package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// risingAnswer is how close a panel comes to a threshold: there is no effect to be found.
type risingAnswer struct {
	study  *study.Study
	step   float64
	panels []analysis.ThresholdAhead
}

// rising sizes a series of rising amounts.
func (f powerFlags) rising(s *study.Study) (risingAnswer, error) {
	if f.given["alpha"] {
		return risingAnswer{}, errors.New("the level of a threshold’s interval comes from the study; leave --alpha " +
			"out, and write alpha there")
	}
	for _, name := range powerFlagNames {
		if f.given[name] && name != "assessors" {
			return risingAnswer{}, fmt.Errorf("--%s is for a difference, and the question %s seeks an amount; "+
				"leave it out", name, s.Question)
		}
	}
	step, ok := analysis.StepOf(s)
	if !ok {
		return risingAnswer{}, errors.New("the amounts do not rise; write a dish without, and then two amounts or " +
			"more in rising order")
	}
	n := s.Panel.Assessors
	if f.given["assessors"] {
		n = f.Assessors
	}
	if n < 2 {
		return risingAnswer{}, errors.New("one person's threshold says nothing of a group; write --assessors 2 or more")
	}
	if n > analysis.MostPlanned {
		return risingAnswer{}, fmt.Errorf("--assessors is %d; write a number from 2 to %d", n, analysis.MostPlanned)
	}
	return risingAnswer{s, step, analysis.ThresholdsAhead(s, n)}, nil
}

// What the numbers of a threshold rest on.
var risingRests = []string{
	"lucky guesses make people's own thresholds too low, by up to half a step on average, however many people taste; " +
		"the curve beside them allows for guessing",
	"logarithms of people's thresholds are near normal, and everybody counted answers every tray: plan some more for " +
		"those who leave",
}

func (a risingAnswer) writeText(w io.Writer) error {
	fmt.Fprintf(w, "%s\n\nThere is no effect to find, but an amount to come close to: the group's threshold.\n"+
		"A step of the series is a factor of %s on average. How far people's own thresholds lie apart\n"+
		"nobody knows before; below is by which factor up and down the interval (%s) then reaches.\n\n",
		a.study.Title, factorText(a.step), analysis.Percent(a.study.Plan.Level()))
	t := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "assessors\tscatter of one step\tof two steps\tportions\tsittings\tminutes each, about\t")
	for _, x := range a.panels {
		c, err := analysis.CostOf(a.study, x.Assessors)
		if err != nil {
			return err
		}
		fmt.Fprintf(t, "%d\t%s\t%s\t%d\t%d\t%d\t\n", x.Assessors, factorText(x.OneStep), factorText(x.TwoSteps),
			c.Portions, c.Sittings, c.Minutes)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprint(w, "\nIt rests on:\n")
	for _, x := range risingRests {
		if _, err := fmt.Fprintf(w, "  %s\n", x); err != nil {
			return err
		}
	}
	return nil
}

// factorText writes a factor with two decimals at most below 10, and from a million on says so:
// two people who scatter by far may reach more than a number holds.
func factorText(v float64) string {
	if v >= 1e6 {
		return "more than a million"
	}
	scale := 100.0
	if v >= 9.995 {
		scale = 1
	}
	return strconv.FormatFloat(math.Round(scale*v)/scale, 'f', -1, 64)
}

func (a risingAnswer) writeJSON(w io.Writer) error {
	type panel struct {
		Assessors int           `json:"assessors"`
		OneStep   *float64      `json:"factor_one_step"`  // by which the interval reaches up and down
		TwoSteps  *float64      `json:"factor_two_steps"` // null: by more than a number holds
		Cost      analysis.Cost `json:"cost"`
	}
	out := struct {
		Study       string   `json:"study"`
		Level       float64  `json:"level"`
		Step        float64  `json:"step"` // factor from one amount to the next, on average
		Panels      []panel  `json:"panels"`
		Assumptions []string `json:"assumptions"`
	}{a.study.Title, a.study.Plan.Level(), a.step, nil, risingRests}
	for _, x := range a.panels {
		c, err := analysis.CostOf(a.study, x.Assessors)
		if err != nil {
			return err
		}
		out.Panels = append(out.Panels, panel{x.Assessors, orNull(x.OneStep), orNull(x.TwoSteps), c})
	}
	to := json.NewEncoder(w)
	to.SetIndent("", "  ")
	to.SetEscapeHTML(false)
	return to.Encode(out)
}
