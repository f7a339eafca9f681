package verify

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
)

// differenceMethods are the difference tests.
func differenceMethods() map[string]method {
	return map[string]method{
		"discrimination": {
			data: words("correct n"), inputs: words("protocol conf"),
			fields: words(`chance pc p_greater pc_ci proportion_discriminators proportion_discriminators_ci
				d_prime d_prime_se d_prime_ci`),
			key: words("pc d_prime"), run: runDiscrimination,
		},
		"dprime_to_pc": {data: words("d_prime"), inputs: words("protocol"), fields: words("chance pc"),
			key: words("pc"), run: runDPrimeToPC},
		"pc_to_dprime": {data: words("pc"), inputs: words("protocol"), fields: words("chance d_prime"),
			key: words("d_prime"), run: runPCToDPrime},
		"a_not_a": {
			data: words("hits n_a false_alarms n_not_a"), inputs: words("conf"),
			fields: words("hit_rate false_alarm_rate d_prime criterion d_prime_se d_prime_ci loglinear_d_prime"),
			key:    words("d_prime"), run: runANotA,
		},
		"same_different": {
			data: words("same_said_same n_same different_said_same n_different"), inputs: words("conf"),
			fields: words("tau d_prime tau_se d_prime_se log_lik"),
			// A distance at its bound of 0 has no standard error: no inference.
			key: words("d_prime_se"), run: runSameDifferent,
		},
		"min_correct_table": {inputs: words("p0 alphas n"), fields: words("n min_correct"),
			key: words("min_correct"), run: runMinCorrect},
	}
}

func (c *call) protocol() (choice.Protocol, error) {
	name, err := c.text("protocol", "")
	if err != nil {
		return 0, err
	}
	names := map[string]choice.Protocol{"triangle": choice.Triangle, "duo_trio": choice.DuoTrio,
		"two_afc": choice.TwoAFC, "three_afc": choice.ThreeAFC, "tetrad": choice.Tetrad}
	p, ok := names[name]
	if !ok {
		return 0, bad("unknown protocol %q", name)
	}
	return p, nil
}

func runDiscrimination(c *call) answer {
	p, errP := c.protocol()
	level, errL := c.level()
	x, errX := c.count("correct")
	n, errN := c.count("n")
	if err := errors.Join(errP, errL, errX, errN); err != nil {
		return answer{err: err}
	}
	r, err := choice.Discrimination(x, n, p, choice.DiscriminationOptions{Level: level})
	if err != nil {
		return answer{err: err, fields: fields{"chance": p.Chance()}}
	}
	return answer{fields: fields{
		"chance": r.Chance, "pc": r.PC, "p_greater": r.PDifference, "pc_ci": ends(r.PCCI),
		"proportion_discriminators": r.Discriminators, "proportion_discriminators_ci": ends(r.DiscriminatorsCI),
		"d_prime": r.DPrime, "d_prime_se": r.DPrimeSE, "d_prime_ci": ends(r.DPrimeCI),
	}, warnings: r.Warnings}
}

func ends(i stats.Interval) []float64 { return []float64{i.Lo, i.Hi} }

func runDPrimeToPC(c *call) answer {
	p, errP := c.protocol()
	d, errD := c.numbers("d_prime")
	if err := errors.Join(errP, errD); err != nil {
		return answer{err: err}
	}
	pc := make([]float64, len(d))
	for i := range d {
		pc[i] = p.PC(d[i])
	}
	return answer{fields: fields{"chance": p.Chance(), "pc": pc}}
}

func runPCToDPrime(c *call) answer {
	p, errP := c.protocol()
	pc, errPC := c.numbers("pc")
	if err := errors.Join(errP, errPC); err != nil {
		return answer{err: err}
	}
	d := make([]float64, len(pc))
	var errs error
	for i := range pc {
		var err error
		d[i], err = p.DPrime(pc[i])
		errs = errors.Join(errs, err)
	}
	return answer{fields: fields{"chance": p.Chance(), "d_prime": d}, err: errs}
}

func runANotA(c *call) answer {
	n, err := c.counts("hits", "n_a", "false_alarms", "n_not_a")
	level, errL := c.level()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := choice.ANotA(n[0], n[1], n[2], n[3], level)
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"hit_rate": r.HitRate, "false_alarm_rate": r.FalseAlarmRate, "d_prime": r.DPrime, "criterion": r.Criterion,
		"d_prime_se": r.SE, "d_prime_ci": ends(r.CI), "loglinear_d_prime": r.LogLinearDPrime,
	}, warnings: r.Warnings}
}

func (c *call) counts(names ...string) ([]int, error) {
	out := make([]int, len(names))
	var errs error
	for i, name := range names {
		var err error
		out[i], err = c.count(name)
		errs = errors.Join(errs, err)
	}
	return out, errs
}

func runSameDifferent(c *call) answer {
	n, err := c.counts("same_said_same", "n_same", "different_said_same", "n_different")
	level, errL := c.level()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := choice.SameDifferent(n[0], n[1], n[2], n[3], level)
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{"tau": r.Tau, "tau_se": r.TauSE, "d_prime": r.DPrime,
		"d_prime_se": r.DPrimeSE, "log_lik": r.LogLik}, warnings: r.Warnings}
}

// runMinCorrect takes the numbers of answers from the inputs or, as they label
// the rows of the table, from the expected field n.
func runMinCorrect(c *call) answer {
	p0, err := c.input("p0", required)
	if err != nil {
		return answer{err: err}
	}
	alphas, err := numberList("alphas", c.e.inputs.values["alphas"])
	if err != nil {
		return answer{err: err}
	}
	from, ok := c.e.inputs.get("n")
	if !ok {
		from = c.e.expected.values["n"]
	}
	ns, err := numberList("n", from)
	if err != nil {
		return answer{err: err}
	}
	table := make([]any, len(ns))
	for i, n := range ns {
		row := make([]float64, len(alphas))
		for j, alpha := range alphas {
			size, err := whole(n, "n")
			if err != nil {
				return answer{err: err}
			}
			least, reachable, err := choice.MinCorrect(size, p0, alpha)
			if err != nil {
				return answer{err: err}
			}
			if row[j] = float64(least); !reachable {
				row[j] = math.NaN()
			}
		}
		table[i] = row
	}
	return answer{fields: fields{"n": ns, "min_correct": table}}
}
