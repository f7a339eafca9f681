package stats

// DefaultLevel is the confidence level used where the options leave it 0.
const DefaultLevel = 0.95

// LevelOr95 returns level, or 0.95 when it is 0, or [ErrLevel].
func LevelOr95(level float64) (float64, error) {
	if level == 0 {
		return DefaultLevel, nil
	}
	return level, CheckLevel(level)
}
