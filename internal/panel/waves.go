package panel

import (
	"context"
	"fmt"
	"strconv"
)

// ReleaseWave lets the plates of a sitting go out up to a wave, and holds those of later waves
// back until they are released; what was released stays so. With the last wave nothing is
// held back any more. The kitchen releases at its own sitting, the lead at any. [ErrBadValue] when the
// sitting has no such wave.
func (s *Service) ReleaseWave(ctx context.Context, by Session, sittingID SittingID, wave int, o PhoneAct) error {
	if err := by.may(ActRelease); err != nil {
		return err
	}
	if by.Role == RoleKitchen {
		sittingID = by.SittingID
	}
	sitting, stored, err := s.sitting(ctx, sittingID)
	if err != nil {
		return err
	}
	if again := s.first(ctx, stored.ID, o); again != nil {
		return again
	}
	if err := by.mayNow(ActRelease, stored.State); err != nil {
		return err
	}
	most, err := s.wavesAt(ctx, stored.ID, sitting.Number)
	if err != nil {
		return err
	}
	if wave < 1 || wave > most {
		return fmt.Errorf("%w: write a wave from 1 to %d", ErrBadValue, most)
	}
	e := s.event(stored.ID, by.Who(), "wave released", "sitting "+strconv.Itoa(sitting.Number)+", wave "+
		strconv.Itoa(wave))
	e.ActID = o.ID
	if err := s.store.ReleaseWave(ctx, sitting.ID, wave, e); err != nil {
		return fmt.Errorf("release a wave: %w", err)
	}
	s.changed(stored.ID)
	return nil
}

// holds reports whether the plates of a wave are held back.
func (x Sitting) holds(wave int) bool { return x.Released > 0 && wave > x.Released }

// paced is where plates of a wave stand that stand in state when nothing is held back: nobody
// is told to plate what is not released.
func (x Sitting) paced(wave int, state PlateState) PlateState {
	if x.holds(wave) && (state == PlateNow || state == PlateNext) {
		return PlateLater
	}
	return state
}

// waveOf is the wave of the turn at i: the how manieth that is plated for its seat at its sitting.
func (t seatState) waveOf(i int) (wave int) {
	for _, x := range t.turns[:i+1] {
		if x.Sitting == t.turns[i].Sitting && !x.reads() {
			wave++
		}
	}
	return wave
}

// heldAt is the wave for which the plate that a seat waits for is held back; 0 when it is not.
func (t seatState) heldAt(sitting Sitting) int {
	n := t.next()
	if n == len(t.turns) || t.turns[n].set() || t.turns[n].reads() {
		return 0
	}
	if wave := t.waveOf(n); sitting.holds(wave) {
		return wave
	}
	return 0
}

// Waves says up to which wave the plates of a sitting may go out.
type Waves struct {
	Of       int // how many there are
	Released int // the last that may go out; 0 = nothing is held back
	// Next can be released next; while nothing is held back it is the one under way, which
	// holds the later ones back. 0 when none is left.
	Next int
}

// Held reports whether a wave is held back.
func (w Waves) Held() bool { return w.Released > 0 && w.Released < w.Of }

// wavesOf counts the waves of a sitting.
func (e evening) wavesOf(sitting Sitting) Waves {
	waves := byWave(e.plated(sitting.Number))
	w := Waves{Of: len(waves), Released: sitting.Released}
	if w.Held() {
		w.Next = w.Released + 1
	} else if under := e.underWay(waves); w.Released == 0 && under < w.Of {
		w.Next = under
	}
	return w
}

// underWay is the latest wave of which a plate was set down or answered, and at least the first.
func (e evening) underWay(waves [][]Turn) int {
	latest := 1
	for i, turns := range waves {
		for _, x := range turns {
			if _, answered := e.answered[x.ID]; answered || x.touched() {
				latest = i + 1
			}
		}
	}
	return latest
}
