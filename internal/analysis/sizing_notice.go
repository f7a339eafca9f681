package analysis

// Notices says what panels of these sizes can do, without the rest of [FindSize].
// Errors are of type [*SizingError].
func (q Sizing) Notices(sizes ...int) ([]PanelPower, error) {
	q, m, err := q.ready()
	if err != nil {
		return nil, err
	}
	var list []PanelPower
	for _, n := range sizes {
		list = append(list, q.at(m, n))
	}
	return list, nil
}

// Takes is the smallest panel that finds the difference with the power wished for; 0
// when none is stated, or none finds it.
func (q Sizing) Takes() (int, error) {
	q, m, err := q.ready()
	if err != nil || !q.possible() || m.power(largestPanel) < q.Power {
		return 0, err
	}
	_, safe := m.needed()
	return q.Each.assessors(safe), nil
}

// ready fills in what was left open, and finds how the question is reckoned.
func (q Sizing) ready() (Sizing, sizeMethod, error) {
	q = q.filled()
	if err := q.check(); err != nil {
		return q, nil, err
	}
	m, err := q.method()
	return q, m, err
}
