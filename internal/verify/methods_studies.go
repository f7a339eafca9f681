package verify

import (
	"errors"

	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/meta"
)

// studyMethods combine studies and fit lines.
func studyMethods() map[string]method {
	return map[string]method{
		"meta_random": {data: words("yi vi"), inputs: words("conf"),
			fields: words("k q q_df q_p fixed dl reml pm_tau2"), key: words("q dl.tau2 reml.tau2 pm_tau2"),
			run: runMeta},
		"calibration_fieller": {data: words("x y"), inputs: words("y0 m conf"),
			fields: words("intercept slope sigma r2 x0 g ci delta_se delta_ci"), key: words("ci"), run: runCalibration},
		"power_law": {data: words("x y"), inputs: words("conf"),
			fields: words(`n exponent exponent_se exponent_ci log10_constant constant constant_ci r2
				residual_sd_log10`),
			key: words("exponent_ci constant_ci"), run: runPowerLaw},
	}
}

func runMeta(c *call) answer {
	level, errL := c.level()
	yi, vi, err := c.pairs("yi", "vi")
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	if len(yi) != len(vi) {
		return answer{err: stats.ErrUnequalLengths}
	}
	studies := make([]meta.Study, len(yi))
	for i := range yi {
		studies[i] = meta.Study{Estimate: yi[i], Variance: vi[i]}
	}
	r, err := meta.Combine(studies, level)
	if err != nil {
		return answer{fields: fields{"k": len(yi)}, err: err}
	}
	return answer{fields: fields{
		"k": r.K, "q": r.Q, "q_df": r.DF, "q_p": r.P,
		"fixed": fields{"mu": r.Fixed.Estimate, "se": r.Fixed.SE, "ci": ends(r.Fixed.CI), "z": r.Fixed.Z,
			"p": r.Fixed.P},
		"dl": randomEffects(r.DL), "reml": randomEffects(r.REML), "pm_tau2": r.PauleMandel,
	}, warnings: r.Warnings}
}

func randomEffects(r meta.RandomEffects) fields {
	hk := r.HartungKnapp
	return fields{"tau2": r.Tau2, "mu": r.Estimate, "se": r.SE, "z": r.Z, "p": r.P, "ci": ends(r.CI),
		"i2_percent": r.I2, "h2": r.H2, "prediction_interval_normal": ends(r.PredictionNormal),
		"hartung_knapp":                   fields{"se": hk.SE, "t": hk.T, "df": hk.DF, "p": hk.P, "ci": ends(hk.CI)},
		"prediction_interval_t_k_minus_2": ends(r.PredictionT)}
}

func runCalibration(c *call) answer {
	level, errL := c.level()
	y0, errY := c.input("y0", required)
	m, errM := c.input("m", 1)
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errL, errY, errM); err != nil {
		return answer{err: err}
	}
	readings, err := whole(m, "m")
	if err != nil {
		return answer{err: err}
	}
	r, err := dose.InversePrediction(x, y, y0, dose.CalibrationOptions{Level: level, Readings: readings})
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"intercept": r.Fit.Intercept, "slope": r.Fit.Slope, "sigma": r.Fit.Sigma, "r2": r.Fit.R2, "x0": r.X0,
		"g": r.G, "ci": ends(r.CI), "delta_se": r.DeltaSE, "delta_ci": ends(r.DeltaCI),
	}, warnings: r.Warnings}
}

func runPowerLaw(c *call) answer {
	level, errL := c.level()
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := dose.PowerLaw(x, y, level)
	if err != nil {
		return answer{fields: fields{"n": len(x)}, err: err}
	}
	return answer{fields: fields{
		"n": r.N, "exponent": r.Exponent, "exponent_se": r.ExponentSE, "exponent_ci": ends(r.ExponentCI),
		"log10_constant": r.Log10Constant, "constant": r.Constant, "constant_ci": ends(r.ConstantCI),
		"r2": r.R2, "residual_sd_log10": r.ResidualSDLog10,
	}, warnings: r.Warnings}
}
