package evidence

import (
	"fmt"
	"math"

	"cloche/internal/stats"
)

// UsualCap is how much of what it has a bet may lose at the most. Differences fill a tenth of their range,
// so that the half that is usual elsewhere grows too slowly.
const UsualCap = 0.95

// Betting is evidence that the mean of differences within bounds is not 0: what a player would have won
// who bets on each person before they answer, half of the money upwards and half downwards.
type Betting struct {
	half, alpha, cap float64
	y, stake         []float64 // differences from 0 to 1, and bets before the cut
	sum, squares     float64   // of y, and of y about the mean before
	up, down         float64   // log of what the two halves came to, against a mean of 0
}

// NewBetting bets on differences from −half to half, so that it gains as soon as may be at level alpha; no
// bet may lose more than a share cap, [UsualCap] as a rule.
func NewBetting(half, alpha, cap float64) (*Betting, error) {
	if !(half > 0) || math.IsInf(half, 0) || !(alpha > 0 && alpha < 1) || !(cap > 0 && cap < 1) {
		return nil, fmt.Errorf("range %g, alpha %g, cap %g: a positive range, and both others between 0 and 1", half,
			alpha, cap)
	}
	return &Betting{half: half, alpha: alpha, cap: cap}, nil
}

// Add takes the difference of one more person, in constant time; [ErrRange] outside the bounds.
func (b *Betting) Add(d float64) error {
	if !(math.Abs(d) <= b.half*(1+1e-9)) {
		return fmt.Errorf("%w: %g of ±%g", ErrRange, d, b.half)
	}
	y, i := (d+b.half)/(2*b.half), float64(len(b.y)+1)
	variance := (0.25 + b.squares) / i // with ¼ as if one had come before
	stake := math.Sqrt(2 * math.Log(2/b.alpha) / (variance * i * math.Log1p(i)))
	b.up += won(y, 0.5, min(stake, b.cap/0.5))
	b.down += won(y, 0.5, -min(stake, b.cap/0.5))
	b.y, b.stake = append(b.y, y), append(b.stake, stake)
	b.sum += y
	mean := (0.5 + b.sum) / (i + 1)
	b.squares += (y - mean) * (y - mean)
	return nil
}

// won is the log of what a bet on y against m leaves of 1.
func won(y, m, stake float64) float64 { return math.Log1p(stake * (y - m)) }

// LogE is the natural logarithm of the evidence: half of the better half.
func (b *Betting) LogE() float64 { return max(b.up, b.down) - math.Ln2 }

// Halves are the logs of what the bets upwards and downwards came to.
func (b *Betting) Halves() (up, down float64) { return b.up, b.down }

// Interval holds the differences against which the evidence is below 1/alpha, within the bounds. What bets
// upwards come to falls with the mean that they are held against, and downwards it rises, so that each end
// is found by halving.
func (b *Betting) Interval() stats.Interval {
	out := stats.Interval{Lo: -b.half, Hi: b.half, Level: 1 - b.alpha}
	enough := math.Log(2 / b.alpha)
	if b.against(0, 1) >= enough {
		out.Lo = b.end(func(m float64) bool { return b.against(m, 1) >= enough })
	}
	if b.against(1, -1) >= enough {
		out.Hi = b.end(func(m float64) bool { return b.against(m, -1) < enough })
	}
	return out
}

// end halves [0, 1] down to where below stops to hold, and returns that as a difference.
func (b *Betting) end(below func(m float64) bool) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; below(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return b.half * (lo + hi - 1)
}

// against is the log of what bets upwards (way 1) or downwards (−1) come to, against a mean m from 0 to 1.
func (b *Betting) against(m float64, way float64) float64 {
	most := b.cap / m
	if way < 0 {
		most = b.cap / (1 - m)
	}
	sum := 0.0
	for i, y := range b.y {
		sum += won(y, m, way*min(b.stake[i], most))
	}
	return sum
}
