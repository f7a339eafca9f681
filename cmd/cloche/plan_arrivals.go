package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// arrivalColumns are what a file of arrivals has to have, in any order.
var arrivalColumns = []string{"arrival", "assessor", "combination", "sample"}

// dealAgain fills a plan with what a file says was dealt on arrival, which it checks by
// dealing it again.
func dealAgain(s *study.Study, p *design.Plan, file string) (*design.Plan, error) {
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	arrivals, err := readArrivals(in)
	if err == nil {
		p, err = p.Deal(s, arrivals)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	p.Servings = slices.DeleteFunc(p.Servings, func(v design.Serving) bool { return v.Sample == design.Undealt })
	return p, nil
}

// readArrivals reads who arrived, in the order of arrival.
func readArrivals(in io.Reader) ([]design.Arrival, error) {
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		rows = [][]string{nil}
	}
	at := map[string]int{}
	for _, name := range arrivalColumns {
		if at[name] = slices.Index(rows[0], name); at[name] < 0 {
			return nil, fmt.Errorf("there is no column %q; write the columns %v", name, arrivalColumns)
		}
	}
	var all []design.Arrival
	for i, row := range rows[1:] {
		var n [3]int
		for k, name := range arrivalColumns[:3] {
			if n[k], err = strconv.Atoi(row[at[name]]); err != nil || n[k] < 1 {
				return nil, fmt.Errorf("row %d: %s is %q; write a whole number from 1", i+2, name, row[at[name]])
			}
		}
		if n[0] != i+1 {
			return nil, fmt.Errorf("row %d: arrival is %d; write the rows in the order of arrival, from 1", i+2, n[0])
		}
		all = append(all, design.Arrival{Place: n[1] - 1, Stratum: int32(n[2] - 1),
			Sample: study.SampleID(row[at["sample"]])})
	}
	return all, nil
}
