package profile

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
)

// PanelTable holds ratings as [assessor][sample][attribute], no cell missing.
type PanelTable [][][]float64

// Ellipse is a confidence ellipse in the plane of two components.
type Ellipse struct {
	X, Y         float64 // centre: the sample's score
	Major, Minor float64 // half axes
	Angle        float64 // of the major axis against the first component, radians in (−π/2, π/2]
	Level        float64
}

// MeanMap is a principal components map of sample means with ellipses that
// show how far the map depends on who sat on the panel.
type MeanMap struct {
	PCA      PCAResult
	Ellipses []Ellipse // of the first two components, in the order of samples
	Draws    int       // bootstrap panels used
	Warnings []stats.Warning
}

// MeanMapOptions sets the bootstrap.
type MeanMapOptions struct {
	Draws int     // panels drawn; 0 means 500
	Level float64 // 0 means 0.95
}

// fewForEllipse is the panel size below which resampled panels repeat
// themselves too much for the ellipses to be taken at their level.
const fewForEllipse = 8

// MapMeans analyses the samples' attribute means by [PrincipalComponents] and
// adds an ellipse for each sample: whole assessors are drawn with replacement,
// the means of each drawn panel are projected on the axes of the full panel
// (partial bootstrap), and the ellipse is that of a normal distribution with
// the covariance of the projected points. An assessor's overall level counts
// for every sample alike, so each drawn map is first centred on the full one.
//
// Husson, Lê & Pagès (2005), Food Qual. Prefer. 16, 245–250; partial bootstrap
// after Lebart (2007). rng makes it repeatable. Cost
// O(draws × assessors × samples × attributes).
func MapMeans(ratings PanelTable, rng *rand.Rand, o MeanMapOptions) (MeanMap, error) {
	level, err := stats.LevelOr95(o.Level)
	if err = errors.Join(err, ratings.check()); err != nil {
		return MeanMap{}, err
	}
	if o.Draws == 0 {
		o.Draws = 500
	}
	if o.Draws < 2 || rng == nil {
		return MeanMap{}, fmt.Errorf("%d draws: at least 2 and a random source are needed", o.Draws)
	}
	everyone := make([]int, len(ratings))
	for i := range everyone {
		everyone[i] = i
	}
	pca, err := PrincipalComponents(ratings.means(everyone))
	if err != nil {
		return MeanMap{}, err
	}
	m := MeanMap{PCA: pca, Draws: o.Draws}
	if len(ratings) < fewForEllipse {
		m.Warnings = append(m.Warnings, stats.TooFew(fewForEllipse, "assessors for the ellipses of the map"))
	}
	points := ratings.resample(&pca, rng, o.Draws)
	for s, p := range points {
		m.Ellipses = append(m.Ellipses, ellipse(p, pca.Scores[s], level))
	}
	return m, nil
}

func (r PanelTable) check() error {
	if len(r) < 2 {
		return fmt.Errorf("%d assessors: %w", len(r), stats.ErrShape)
	}
	for i, table := range r {
		n, p, err := stats.CheckTable(table)
		if err != nil {
			return fmt.Errorf("assessor %d: %w", i+1, err)
		}
		if n != len(r[0]) || p != len(r[0][0]) {
			return fmt.Errorf("assessor %d has %d samples of %d attributes, the first %d of %d: %w",
				i+1, n, p, len(r[0]), len(r[0][0]), stats.ErrShape)
		}
	}
	return nil
}

// means averages the ratings of the assessors listed, some perhaps twice.
func (r PanelTable) means(who []int) [][]float64 {
	samples, attributes := len(r[0]), len(r[0][0])
	flat := make([]float64, samples*attributes)
	out := make([][]float64, samples)
	share := 1 / float64(len(who))
	for s := range out {
		row := flat[s*attributes : (s+1)*attributes]
		for _, i := range who {
			for a, v := range r[i][s] {
				row[a] += v * share
			}
		}
		out[s] = row
	}
	return out
}

// resample returns for each sample the points of the drawn panels in the plane
// of the first two components.
func (r PanelTable) resample(pca *PCAResult, rng *rand.Rand, draws int) [][][2]float64 {
	points := make([][][2]float64, len(r[0]))
	who := make([]int, len(r))
	for range draws {
		for i := range who {
			who[i] = rng.IntN(len(r))
		}
		drawn := r.means(who)
		centreOn(drawn, pca.centre)
		for s, row := range drawn {
			score := pca.Project(row)
			points[s] = append(points[s], [2]float64{score[0], score[1]})
		}
	}
	return points
}

// centreOn shifts every column of table to the given mean.
func centreOn(table [][]float64, centre []float64) {
	for a, c := range centre {
		mean := 0.0
		for _, row := range table {
			mean += row[a] / float64(len(table))
		}
		for _, row := range table {
			row[a] += c - mean
		}
	}
}

// ellipse is centred on the full panel's score; its axes come from the
// covariance of the points, its size from the χ² with 2 df.
func ellipse(points [][2]float64, score []float64, level float64) Ellipse {
	n := float64(len(points))
	var mx, my float64
	for _, p := range points {
		mx += p[0] / n
		my += p[1] / n
	}
	var xx, yy, xy float64
	for _, p := range points {
		xx += (p[0] - mx) * (p[0] - mx) / (n - 1)
		yy += (p[1] - my) * (p[1] - my) / (n - 1)
		xy += (p[0] - mx) * (p[1] - my) / (n - 1)
	}
	middle, root := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	size := distuv.ChiSquared{K: 2}.Quantile(level)
	return Ellipse{X: score[0], Y: score[1], Major: math.Sqrt(size * (middle + root)),
		Minor: math.Sqrt(size * math.Max(0, middle-root)), Angle: math.Atan2(2*xy, xx-yy) / 2, Level: level}
}
