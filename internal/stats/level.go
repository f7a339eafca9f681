package stats

// defaultLevel is the confidence level used where the options leave it 0.
const defaultLevel = 0.95

// levelOr95 returns level, or 0.95 when it is 0, or [ErrLevel].
func levelOr95(level float64) (float64, error) {
	if level == 0 {
		return defaultLevel, nil
	}
	return level, checkLevel(level)
}
