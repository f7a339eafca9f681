package verify

import (
	"cloche/internal/stats/anova"
	"cloche/internal/stats/choice"
)

// peopleTable is of how people differ from each other.
var peopleTable = []method{
	{id: "people_differ", key: "f p icc",
		fields: `n replicates mean ci sd_people=SDPeople sd_replicate=SDReplicate f df1 df2 p icc icc_ci=ICCCI
			sd_people_ci_shape=SDPeopleCI share_positive=SharePositive shrunken
			range_of_people_95=RangeOfPeople agree_in_sign=AgreeInSign`,
		run: func(c *call) (any, error) {
			return anova.PeopleDiffer(c.rows("differences"), c.level())
		}},
	{id: "blinding_index", key: "james.estimate bang_1.estimate bang_2.estimate",
		fields: `n james=James{estimate se ci}
			bang_1=Bang.0{estimate se lower=CI.Lo upper=CI.Hi lower_one_sided upper_one_sided}
			bang_2=Bang.1{estimate se lower=CI.Lo upper=CI.Hi lower_one_sided upper_one_sided}
			share_dont_know=Unknown share_correct_of_guesses=RightOfSaid fisher_p_of_guesses=FisherP`,
		run: func(c *call) (any, error) {
			var g choice.Guesses
			for i, row := range c.rows("counts") {
				for j, v := range row {
					g[i][j] = int(v)
				}
			}
			return choice.Blinding(g, c.level())
		}},
	{id: "power_people_differ", grid: true, fields: "power=.", run: func(c *call) (any, error) {
		return anova.PeopleDifferPower(c.whole("n"), c.whole("replicates"), c.number("icc"), c.number("alpha")), nil
	}},
}
