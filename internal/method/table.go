package method

// The methods.
const (
	PairedT    ID = "paired-t"
	SignedRank ID = "signed-rank"
	Sign       ID = "sign"
	WelchT     ID = "welch-t"
	RankSum    ID = "rank-sum"
	// StratifiedT compares two groups within strata.
	StratifiedT ID = "stratified-t"
	// StratifiedRankSum compares the ranks of two groups within strata.
	StratifiedRankSum ID = "stratified-rank-sum"
	// Lottery draws the serving plan again.
	Lottery ID = "lottery"
	// Ordinal models answers by their order.
	Ordinal   ID = "ordinal"
	OddsRatio ID = "odds-ratio"
	Binomial  ID = "binomial"
	// Equivalence tests that two samples are practically the same.
	Equivalence ID = "equivalence"
	// EquivalenceWelch is that test of two groups, EquivalenceWithin within strata.
	EquivalenceWelch  ID = "equivalence-welch"
	EquivalenceWithin ID = "equivalence-within"

	MixedF          ID = "mixed-f"
	MixedFCarryOver ID = "mixed-f-carry-over"
	MixedT          ID = "mixed-t"
	RMAnova         ID = "rm-anova"
	Conover         ID = "conover-t"
	Friedman        ID = "friedman"
	Page            ID = "page"

	// WordsTogether asks of all words of a list at once whether samples differ.
	WordsTogether  ID = "words-together"
	CochranQ       ID = "cochran-q"
	McNemar        ID = "mcnemar"
	TickedMore     ID = "ticked-more"
	Correspondence ID = "correspondence"

	// PeopleDiffer is a test of whether people differ in an effect, of several pairs of each.
	PeopleDiffer ID = "people-differ"

	Fisher       ID = "fisher"
	FisherWithin ID = "fisher-within"

	// MarginalHomogeneity compares answers of few kinds that the same people gave to two samples.
	MarginalHomogeneity ID = "marginal-homogeneity"

	// Similarity is a test of whether so few tell two samples apart that they pass for the same.
	Similarity ID = "similarity"
	// PlannedLooks is a paired t test that allows for looks agreed beforehand, and AfterLooks
	// the estimate that goes with it.
	PlannedLooks ID = "planned-looks"
	AfterLooks   ID = "mean-difference-after-looks"

	// Mixture and Betting are evidence for a difference that may be looked at whenever one likes.
	Mixture ID = "mixture"
	Betting ID = "betting"
	// AtAnyMoment is a mean difference whose interval is that of running evidence.
	AtAnyMoment ID = "mean-difference-at-any-moment"
	// Sequential is a test of right answers that are taken one by one until they decide.
	Sequential ID = "sequential"
	// BetaBinomial is a test of a share when each assessor answers several times.
	BetaBinomial ID = "beta-binomial"

	Penalty            ID = "penalty"
	WeightedPenalty    ID = "weighted-penalty"
	Worth              ID = "worth"
	MeanDifference     ID = "mean-difference"
	Share              ID = "share"
	RightShare         ID = "right-share"
	Tellers            ID = "tellers"
	DPrime             ID = "d-prime"
	HodgesLehmann      ID = "hodges-lehmann"
	MedianDifference   ID = "median-difference"
	Dz                 ID = "d_z"
	Gz                 ID = "g_z"
	HodgesLehmannShift ID = "hodges-lehmann-shift"
	// HodgesLehmannWithin is that shift within strata.
	HodgesLehmannWithin ID = "hodges-lehmann-within"
	// ModelDifference is between two samples in a mixed model.
	ModelDifference ID = "model-difference"
	HedgesG         ID = "hedges-g"
	Superiority     ID = "superiority"

	Period         ID = "period"
	CarryOver      ID = "carry-over"
	PeriodAdjusted ID = "period-adjusted"
	Position       ID = "position"
	Previous       ID = "previous"
	ServedFirst    ID = "served-first"
	RankPosition   ID = "rank-position"

	SlopeT         ID = "slope-t"
	ShiftT         ID = "shift-t"
	Slope          ID = "slope"
	EquivalentDose ID = "equivalent-dose"
	Straight       ID = "straight"

	// ShareOfWay is how far a name drew ratings from those of the dish served blind to what was expected.
	ShareOfWay ID = "share-of-the-way"

	// Bang is how many of those who got a sample guessed it, beyond guessing, and James how little of both was known.
	Bang  ID = "bang"
	James ID = "james"

	// Together combines the studies of one question, TogetherFew two to five of them; NextEvening is what a further
	// one is expected to find, and HouseSpread how far its answers will scatter.
	Together    ID = "studies-together"
	TogetherFew ID = "few-studies-together"
	NextEvening ID = "next-evening"
	HouseSpread ID = "house-spread"

	// BestEstimate is from which amount on people taste something, by ascending choices.
	BestEstimate ID = "best-estimate"
	// ThresholdCurve is at which amount half of them do, by a curve through all answers.
	ThresholdCurve ID = "threshold-curve"
	// SampleByAssessor asks whether assessors see the samples alike.
	SampleByAssessor ID = "sample-by-assessor"
	Consistency      ID = "consistency"
	ProductMap       ID = "product-map"

	Holm       ID = "holm"
	Bonferroni ID = "bonferroni"
	Tukey      ID = "tukey"
)

const (
	normalDifferences = "The differences are near normal, or numerous enough for their mean to be; strong " +
		"skewness is flagged."
	modelAssumes = "Assessors’ levels, those of sittings where there are several, what each finds of a sample where " +
		"they rate it more than once, and what is left after samples and " +
		"positions are near normal, with one spread for all samples. Whether a serving was skipped has nothing to do " +
		"with how it would have been rated."
	symmetricDifferences = "The differences lie symmetrically about their centre; strong skewness is flagged."
)

var table = []Method{
	{PairedT, Test, "paired t test", "t", "Student (1908), Biometrika 6:1", normalDifferences},
	{SignedRank, Test, "Wilcoxon signed-rank test", "W+",
		"Wilcoxon (1945), Biom. Bull. 1:80; exact given ties, zeros ranked and left out: Pratt (1959), J. Am. " +
			"Stat. Assoc. 54:655", symmetricDifferences},
	{Sign, Test, "sign test", "up", "Dixon & Mood (1946), J. Am. Stat. Assoc. 41:557", ""},
	{WelchT, Test, "Welch t test", "t", "Welch (1947), Biometrika 34:28",
		"Ratings within each group are near normal, or numerous enough for their means to be."},
	{StratifiedT, Test, "stratified t test", "t", "strata as fixed effects: Searle (1971), Linear Models, sect. 5.4",
		"Ratings within a stratum are near normal, or numerous enough for their means to be, and scatter alike " +
			"in both groups."},
	{RankSum, Test, "Wilcoxon rank-sum test", "W", "Wilcoxon (1945), Biom. Bull. 1:80; Mann & Whitney (1947), Ann. " +
		"Math. Stat. 18:50",
		"The two groups differ in place only, not in shape."},
	{StratifiedRankSum, Test, "stratified rank-sum test", "z",
		"van Elteren (1960), Bull. Int. Stat. Inst. 37:351; exact given ties where that takes few enough sums",
		"Within a stratum the two groups differ in place only, not in shape, and by the same amount in all."},
	{Equivalence, Test, "test of equivalence by two one-sided t tests", "t",
		"Schuirmann (1987), J. Pharmacokinet. Biopharm. 15:657", normalDifferences},
	{EquivalenceWelch, Test, "test of equivalence by two one-sided Welch tests", "t",
		"Schuirmann (1987), J. Pharmacokinet. Biopharm. 15:657; Welch (1947), Biometrika 34:28",
		"Ratings within each group are near normal, or numerous enough for their means to be."},
	{EquivalenceWithin, Test, "test of equivalence by two one-sided stratified t tests", "t",
		"Schuirmann (1987), J. Pharmacokinet. Biopharm. 15:657; strata as fixed effects: Searle (1971), Linear " +
			"Models, sect. 5.4",
		"Ratings within a stratum are near normal, or numerous enough for their means to be, and scatter alike " +
			"in both groups."},
	{Lottery, Test, "randomisation test by the plan’s own lottery", "t",
		"Fisher (1935), The Design of Experiments, sect. 21; Kempthorne (1955), J. Am. Stat. Assoc. 50:946; p: " +
			"Phipson & Smyth (2010), Stat. Appl. Genet. Mol. Biol. 9:39; interval: Rosenbaum (2002), Observational " +
			"Studies, sect. 2.4",
		"Of these assessors alone, nothing but that the plan was drawn as the study says; the interval assumes that " +
			"everybody’s ratings shift by the same amount."},
	{Ordinal, Test, "test of the order of the answers in a cumulative logit model", "z",
		"McCullagh (1980), J. R. Stat. Soc. B 42:109; assessors random: Hedeker & Gibbons (1994), Biometrics 50:933; " +
			"adaptive quadrature: Pinheiro & Bates (1995), J. Comput. Graph. Stat. 4:12",
		"A sample moves the odds of every answer or one above it by the same factor; assessors’ levels are near " +
			"normal."},
	{Binomial, Test, "exact binomial test", "k", "Conover (1999), Practical Nonparametric Statistics, sect. 3.1",
		"Answers do not depend on one another, and each has the same chance of a right guess, or of either choice."},
	{MixedF, Test, "F test of all samples in a mixed model", "F",
		"Satterthwaite (1946), Biometrics Bull. 2:110; Giesbrecht & Burns (1985), Biometrics 41:477; fitted by " +
			"REML, which recovers inter-block information: Patterson & Thompson (1971), Biometrika 58:545; Bates et " +
			"al. (2015), J. Stat. Softw. 67(1); where people come to several sittings, of up to 400 ratings: Kenward " +
			"& Roger (1997), Biometrics 53:983",
		modelAssumes},
	{MixedFCarryOver, Test, "F test of all samples with carry-over allowed for", "F",
		"Jones & Kenward (2014), Design and Analysis of Cross-Over Trials, ch. 5",
		"What a sample leaves behind reaches the next serving only."},
	{MixedT, Test, "t test of a pair in a mixed model", "t", "Satterthwaite (1946), Biometrics Bull. 2:110; fitted " +
		"by REML, which recovers inter-block information: Patterson & Thompson (1971), Biometrika 58:545; where " +
		"people come to several sittings, of up to 400 ratings: Kenward & Roger (1997), Biometrics 53:983",
		modelAssumes},
	{RMAnova, Test, "repeated-measures analysis of variance, Greenhouse–Geisser", "F",
		"Winer (1971), sect. 4.2; Greenhouse & Geisser (1959), Psychometrika 24:95",
		"The differences between samples are near normal."},
	{Friedman, Test, "Friedman test", "χ²", "Friedman (1937), J. Am. Stat. Assoc. 32:675", ""},
	{Page, Test, "Page test of an expected order", "L", "Page (1963), J. Am. Stat. Assoc. 58:216; ISO 8587", ""},
	{Conover, Test, "Conover’s t test of two rank sums", "t",
		"Conover (1999), Practical Nonparametric Statistics, sect. 5.8", ""},

	{Fisher, Test, "Fisher’s exact test", "k", "Fisher (1935), J. R. Stat. Soc. 98:39",
		"Each answer is given for itself."},
	{FisherWithin, Test, "Fisher’s exact test within assessors", "k",
		"Cochran (1954), Biometrics 10:417; Gart (1970), Biometrika 57:471",
		"Each answer of an assessor is given for itself."},
	{MarginalHomogeneity, Test, "test of marginal homogeneity", "Q",
		"Stuart (1955), Biometrika 42:412; Maxwell (1970), Br. J. Psychiatry 116:651, both from memory; exact given " +
			"who moved between which answers",
		"Where the samples are alike, everybody’s two answers might as well have been the other way round."},
	{Similarity, Test, "exact binomial test of similarity", "k", "ISO 4120; ISO 10399; one-sided: Conover (1999), " +
		"Practical Nonparametric Statistics, sect. 3.1",
		"Answers are independent: one for each assessor."},
	{PlannedLooks, Test, "paired t test at planned looks", "t", "bounds: Lan & DeMets (1983), Biometrika 70:659; " +
		"Armitage, McPherson & Rowe (1969), J. R. Stat. Soc. A 132:235; p by the order of the stages: Fairbanks & " +
		"Madsen (1982), Biometrika 69:69; all from memory",
		"Differences between a person’s ratings are near normal, and when looks came did not depend on the ratings."},
	{Mixture, Test, "t mixture of running evidence", "ln E", "right-Haar prior: Lai (1976), Ann. Stat. 4:265; " +
		"Pérez-Ortiz, Lardy, de Heide & Grünwald (2024), Ann. Stat. 52; both from memory; p = 1/E: Ville (1939), " +
		"from memory",
		"Differences between a person’s ratings are near normal, and the answers of different people independent."},
	{Betting, Test, "running evidence by betting", "ln E", "Waudby-Smith & Ramdas (2024), J. R. Stat. Soc. B 86:1; " +
		"p = 1/E: Ville (1939), from memory",
		"Differences lie within the ends of the scale; people are taken in the order in which they came."},
	{Sequential, Test, "sequential test of right answers", "k", "Wald (1947), Sequential Analysis, sect. 5.3; ISO " +
		"16820",
		"Answers are independent, one for each assessor, and are taken in the order in which they came."},
	{BetaBinomial, Test, "test of the share in a beta-binomial model", "z",
		"Ennis & Bi (1998), J. Sens. Stud. 13:389, from memory",
		"Each assessor has a share of their own, beta-distributed over assessors."},
	{SlopeT, Test, "t test of the slope over amounts", "t",
		"Student (1908), Biometrika 6:1, of the slopes of people’s own lines; where not everybody rated every " +
			"amount, " +
			"in a mixed model: Satterthwaite (1946), Biometrics Bull. 2:110",
		"Each person's ratings rise or fall along a line; the slopes of different people are near normal."},
	{ShiftT, Test, "t test of how far a dish lies above the line of amounts", "t",
		"Student (1908), Biometrika 6:1, of each person’s rating minus their own line; or in a mixed model: " +
			"Satterthwaite (1946), Biometrics Bull. 2:110",
		"Each person's ratings rise or fall along a line; the distances of different people from theirs are near " +
			"normal."},

	{OddsRatio, Measure, "odds ratio (of an answer or one above it, first sample over second)", "OR",
		"McCullagh (1980), J. R. Stat. Soc. B 42:109; Wald interval on the logarithm", ""},
	{Share, Measure, "share of the answers", "", "interval: Wilson (1927), J. Am. Stat. Assoc. 22:209", ""},
	{RightShare, Measure, "share of right answers", "",
		"interval: Clopper & Pearson (1934), Biometrika 26:404; ISO 4120, ISO 10399", ""},
	{Tellers, Measure, "share of people who truly tell the samples apart, beyond right guesses", "",
		"Abbott (1925), J. Econ. Entomol. 18:265; interval from that of the right answers", ""},
	{DPrime, Measure, "sensory distance (in standard deviations of what is perceived)", "d′",
		"Macmillan & Creelman (2005), Detection Theory; Ennis (1993), J. Sens. Stud. 8:353; ASTM E2262", ""},
	{Penalty, Measure, "mean drop in liking of those who said too little, or too much, against those who said about " +
		"right",
		"", "common practice; ASTM MNL63, not seen; interval: Welch (1947), Biometrika 34:28; with fewer than 10 " +
			"people in a group on the degrees of freedom of the smaller, a bound: Mickey & Brown (1966), Ann. Math. " +
			"Stat. 37:639, from memory", ""},
	{WeightedPenalty, Measure, "that drop times the share of the people who said so", "",
		"common practice; ASTM MNL63, not seen; interval by the delta method on shares and means", ""},
	{Worth, Measure, "worth of a sample: the chance that somebody puts it before all others", "", "Luce (1959), " +
		"Individual Choice Behavior, from memory; Plackett (1975), Appl. Stat. 24:193; maximum likelihood, " +
		"interval by the delta method on log odds",
		"People choose place after place from the first on, among those left, with chances that go with the worths."},
	{MeanDifference, Measure, "mean difference", "", "Student (1908), Biometrika 6:1", ""},
	{AfterLooks, Measure, "mean difference that allows for the looks", "", "Tsiatis, Rosner & Mehta (1984), " +
		"Biometrics 40:797, median-unbiased; from memory", ""},
	{AtAnyMoment, Measure, "mean difference with an interval that holds at any moment", "", "the differences whose " +
		"evidence is below 1/α: Wang & Ramdas (2024), arXiv 2310.03722; Waudby-Smith & Ramdas (2024), J. R. Stat. " +
		"Soc. B 86:1", ""},
	{HodgesLehmann, Measure, "median difference by Hodges and Lehmann (median of all averages of two differences)", "",
		"Hodges & Lehmann (1963), Ann. Math. Stat. 34:598; interval: Tukey (1949); Hollander & Wolfe (1999), sect. 3.3",
		symmetricDifferences},
	{MedianDifference, Measure, "median difference", "",
		"interval of order statistics: Conover (1999), Practical Nonparametric Statistics, sect. 3.2", ""},
	{HodgesLehmannShift, Measure, "shift by Hodges and Lehmann (median of all differences of a rating in one " +
		"group and one in the other)",
		"", "Hodges & Lehmann (1963), Ann. Math. Stat. 34:598; interval: Hollander & Wolfe (1999), sect. 4.3",
		"The two groups differ in place only, not in shape."},
	{HodgesLehmannWithin, Measure, "shift within strata (median of all differences of two ratings in one stratum, " +
		"weighted as the stratified rank-sum test weighs strata)", "",
		"van Elteren (1960), Bull. Int. Stat. Inst. 37:351, inverted as by Hodges & Lehmann (1963), Ann. Math. Stat. " +
			"34:598; interval: normal approximation",
		"Within a stratum the two groups differ in place only, not in shape, and by the same amount in all."},
	{ModelDifference, Measure, "mean difference by the mixed model of every rating", "",
		"Patterson & Thompson (1971), Biometrika 58:545; interval: Satterthwaite (1946), Biometrics Bull. 2:110", ""},
	{HedgesG, Measure, "Hedges’ g (difference of the means in common standard deviations, corrected for small " +
		"samples)", "g",
		"Hedges (1981), J. Educ. Stat. 6:107; interval from the noncentral t distribution", ""},
	{Superiority, Measure, "probability of superiority (that a rating of the first group is above one of the " +
		"second; ties count half)",
		"", "Mann & Whitney (1947), Ann. Math. Stat. 18:50; interval by Fisher’s z of Cliff’s delta: Cliff " +
			"(1993), Psychol. Bull. 114:494", ""},
	{Dz, Measure, "Cohen’s d_z (mean difference in standard deviations of the differences)", "d_z",
		"Cohen (1988), sect. 2.3.5; interval from the noncentral t distribution: Cumming & Finch (2001), Educ. " +
			"Psychol. Meas. 61:532", ""},
	{Gz, Measure, "Hedges’ g_z (d_z corrected for small samples)", "g_z", "Hedges (1981), J. Educ. Stat. 6:107", ""},
	{Slope, Measure, "slope over amounts (points for each unit more)", "",
		"least squares within people: Draper & Smith (1998), Applied Regression Analysis, sect. 1.2", ""},
	{EquivalentDose, Measure, "equivalent amount (what a dish is worth in amounts, by which it lies above the " +
		"line)", "",
		"ratio of two means with its interval: Fieller (1954), J. R. Stat. Soc. B 16:175", ""},
	{ShareOfWay, Measure, "share of the way (by how much a name moved ratings away from those of the same dish " +
		"served blind, over how much more was expected of it)", "",
		"ratio of two means with its interval: Fieller (1954), J. R. Stat. Soc. B 16:175; never person by person, as " +
			"the blind rating stands in both differences (Oldham 1962, J. Chronic Dis. 15:969, from memory)",
		"People’s differences are near normal, or numerous enough for their means to be."},
	{Bang, Measure, "Bang’s index of blinding of one sample (share who guessed right less the share who guessed " +
		"wrong, of those who got it)", "", "Bang, Ni & Davis (2004), Control. Clin. Trials 25:143; normal interval, " +
		"rough below 20 guests", "Everybody got one sample, and guesses for themselves."},
	{James, Measure, "James’s index of blinding of both samples (1: nobody knows, ½: guessing, 0: all know)", "",
		"James, Bloch, Lee, Kraemer & Fuller (1996), Stat. Med. 15:1421, from memory; interval by the delta method",
		"Everybody got one sample, and guesses for themselves; those who do not know decide much of it."},
	{Together, Measure, "mean difference of six studies or more together", "", "random effects by restricted maximum " +
		"likelihood; interval: Hartung & Knapp (2001), Stat. Med. 20:1771, with the factor held at 1 or more: " +
		"Knapp & Hartung (2003), Stat. Med. 22:2693; both from memory",
		"Studies had other guests each, and their true differences are near normal."},
	{TogetherFew, Measure, "mean difference of two to five studies together", "", "random effects with a flat prior " +
		"on the mean and a half-normal prior on how much evenings differ, of a quarter of the spread of the " +
		"differences: Röver (2020), J. Stat. Softw. 93(6); Spiegelhalter, Abrams & Myles (2004), sect. 5.7.3; both " +
		"from memory",
		"Studies had other guests each, and their true differences are near normal."},
	{NextEvening, Measure, "interval of the true difference on a further evening", "", "Higgins, Thompson & " +
		"Spiegelhalter (2009), J. R. Stat. Soc. A 172:137; with the standard error of the held interval: Partlett & " +
		"Riley (2017), Stat. Med. 36:301, from memory; of two to five studies from the same posterior as their mean",
		"The evening is drawn from the same as the others."},
	{HouseSpread, Measure, "spread of the house’s own guests for the next size (what four studies of five stay " +
		"below, or the upper 80 % limit)", "", "where studies scatter differently, the 80 % quantile: Smyth " +
		"(2004), Stat. Appl. Genet. Mol. Biol. 3, article 3, sect. 6.2, from memory; else, and of fewer than five " +
		"studies where it is larger, the upper 80 % limit of the pooled spread by the χ² distribution",
		"The next study scatters as one of those before."},
	{BestEstimate, Measure, "threshold by best estimates (geometric mean of people’s own, each that of the last " +
		"amount missed and the next)", "",
		"ASTM E679, cited from memory; interval by t on logarithms",
		"Who is right at an amount and at all larger ones tastes it there; logarithms of people’s thresholds are " +
			"near " +
			"normal."},
	{ThresholdCurve, Measure, "amount tasted by half of the people, by a logistic curve over the logarithm of the " +
		"amount, with guessing at one in three", "",
		"Abbott (1925), J. Econ. Entomol. 18:265; Treutwein (1995), Vision Res. 35:2503; intervals: Fieller (1954), " +
			"J. " +
			"R. Stat. Soc. B 16:175, with errors by person: Liang & Zeger (1986), Biometrika 73:13",
		"Who does not taste it guesses, right once in three."},

	{Period, Check, "first serving minus second", "t", "Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7", ""},
	{CarryOver, Check, "carry-over of the first sample minus that of the second", "t",
		"Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7; read at 10 % (Grizzle 1965, Biometrics 21:467), " +
			"with little power (Freeman 1989, Stat. Med. 8:1421)", ""},
	{PeriodAdjusted, Check, "difference with the order of serving allowed for", "t",
		"Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7", ""},
	{Position, Check, "all positions alike, samples and assessors allowed for", "F",
		"F test of the estimable part in the additive model: Searle (1971), Linear Models, sects. 3.6 and 5.4", ""},
	{Previous, Check, "carry-over: whatever came before a serving alike, samples, positions and assessors allowed for",
		"F",
		"Jones & Kenward (2014), Design and Analysis of Cross-Over Trials, ch. 5; read at 10 %", ""},
	{ServedFirst, Check, "the plate served first is chosen as often as the other", "k",
		"Conover (1999), Practical Nonparametric Statistics, sect. 3.1; of those who chose, two-sided", ""},

	{Straight, Check, "means of the amounts on a straight line", "F",
		"lack of fit: Draper & Smith (1998), Applied Regression Analysis, sect. 2.1", ""},
	{PeopleDiffer, Test, "F test of whether people differ", "F",
		"Searle (1971), Linear Models, ch. 9; with its exact interval of the share of the variance",
		"The differences of one person scatter alike for everybody and are near normal, and so are the people."},
	{WordsTogether, Test, "permutation test of all words together", "ΣQ",
		"sum of Cochran’s Q over the words, each assessor’s servings shuffled as wholes: Meyners, Castura & Carr " +
			"(2013), Food Qual. Prefer. 30:309",
		"Whoever tastes no difference could have said of each serving what they said of another."},
	{CochranQ, Test, "Cochran’s Q test", "Q", "Cochran (1950), Biometrika 37:256; exact for small panels by his " +
		"randomisation distribution", ""},
	{McNemar, Test, "McNemar test", "k", "McNemar (1947), Psychometrika 12:153, exact by the binomial " +
		"distribution", ""},
	{TickedMore, Measure, "difference of the shares who ticked the word", "",
		"interval: Newcombe (1998), Stat. Med. 17:2635, method 10", ""},
	{Correspondence, Measure, "map of samples and words by correspondence analysis", "",
		"Greenacre (1984), Theory and Applications of Correspondence Analysis, ch. 4", ""},

	{RankPosition, Check, "places in the order alike at all positions of the tray", "χ²",
		"Friedman (1937), J. Am. Stat. Assoc. 32:675, on the places by position", ""},

	{SampleByAssessor, Check, "assessors alike in how they see the samples", "F",
		"assessor × sample against repeats in a two-way analysis: Lea, Næs & Rødbotten (1997), Analysis of " +
			"Variance for " +
			"Sensory Data", ""},
	{Consistency, Measure, "correlation within the panel (of one assessor’s means of the samples with another’s, and " +
		"of the panel’s with those of another such panel)", "ICC",
		"Shrout & Fleiss (1979), Psychol. Bull. 86:420, forms (3,1) and (3,k), with their exact intervals", ""},
	{ProductMap, Measure, "map of the samples (principal components of their means, with ellipses by drawing " +
		"assessors anew)", "",
		"Pearson (1901), Phil. Mag. 2:559; Husson, Lê & Pagès (2005), Food Qual. Prefer. 16:245", ""},

	{Holm, Adjustment, "Holm’s method", "", "Holm (1979), Scand. J. Stat. 6:65", ""},
	{Bonferroni, Adjustment, "Bonferroni’s inequality", "",
		"intervals at 1 − α/m: Dunn (1961), J. Am. Stat. Assoc. 56:52", ""},
	{Tukey, Adjustment, "Tukey’s range", "", "Tukey (1953); studentized range: Copenhaver & Holland (1988), J. " +
		"Stat. Comput. Simul. 30:1; letters: Piepho (2004), J. Comput. Graph. Stat. 13:456", ""},
}
