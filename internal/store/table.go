package store

import (
	"slices"
	"strings"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// atTable are the assessors who sit at a table of a sitting.
func atTable(tx *gorm.DB, sittingID panel.SittingID, table int) *gorm.DB {
	return tx.Model(&assessorRow{}).Where("sitting_id = ? AND table_number = ?", sittingID, table).
		Where("left_at IS NULL AND withdrawn_at IS NULL")
}

// nextSeatAt returns the lowest seat of a table that nobody has, from 1; 0 without a table.
func nextSeatAt(tx *gorm.DB, sittingID panel.SittingID, table int, but panel.AssessorID) (int, error) {
	if table == 0 {
		return 0, nil
	}
	var taken []int
	if err := atTable(tx, sittingID, table).Where("id <> ?", but).Pluck("table_seat", &taken).Error; err != nil {
		return 0, err
	}
	seat := 1
	for slices.Contains(taken, seat) {
		seat++
	}
	return seat, nil
}

// placeAtTable returns the free place of a sitting whose order the fewest at the table
// have, or the most where the study says so, the lowest of these; without a table, the
// lowest of all.
func placeAtTable(tx *gorm.DB, sitting sittingRow, table int, alike bool) (int, error) {
	var there, free []int
	if table > 0 {
		if err := atTable(tx, sitting.ID, table).Pluck("place", &there).Error; err != nil {
			return 0, err
		}
	}
	if len(there) == 0 {
		return lowestFreePlace(tx, sitting)
	}
	err := freePlaces(tx, sitting.StudyID, sitting.Number).Distinct().Order("place").Pluck("place", &free).Error
	if err != nil {
		return 0, err
	}
	orders, err := ordersAt(tx, sitting)
	if err != nil {
		return 0, err
	}
	had := map[string]int{}
	for _, place := range there {
		had[orders[place]]++
	}
	best := -1
	for _, place := range free {
		if best < 0 || !alike && had[orders[place]] < had[orders[best]] ||
			alike && had[orders[place]] > had[orders[best]] {
			best = place
		}
	}
	if best < 0 {
		return 0, panel.ErrFull
	}
	return best, nil
}

// ordersAt returns in which order each place of a sitting gets its samples.
func ordersAt(tx *gorm.DB, sitting sittingRow) (map[int]string, error) {
	var rows []struct {
		Place  int
		Sample string
	}
	err := tx.Table("servings").Select("turns.place, servings.sample").
		Joins("JOIN turns ON turns.id = servings.turn_id").
		Where("turns.study_id = ? AND turns.sitting = ?", sitting.StudyID, sitting.Number).
		Order("turns.place, turns.turn_order, servings.serving_order").Find(&rows).Error
	words := map[int][]string{}
	for _, r := range rows {
		words[r.Place] = append(words[r.Place], r.Sample)
	}
	orders := map[int]string{}
	for place, samples := range words {
		orders[place] = strings.Join(samples, " ")
	}
	return orders, err
}
