package verify

import (
	"cloche/internal/stats/anova"
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
	{id: "power_people_differ", grid: true, fields: "power=.", run: func(c *call) (any, error) {
		return anova.PeopleDifferPower(c.whole("n"), c.whole("replicates"), c.number("icc"), c.number("alpha")), nil
	}},
}
