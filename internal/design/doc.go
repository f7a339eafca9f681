// Package design draws serving plans: which sample each assessor gets at which
// position of which sitting, under which blinding code, and how even that is.
//
// # Model
//
// A study has t samples and n assessors. [Draw] fills a table of n rows, one for
// each assessor, by a lottery; the columns fall into the sittings that an
// assessor attends; then every plate gets a code. The lotteries:
//
//   - All samples to each assessor: Williams designs, a square of t assessors
//     for even t, a mirrored pair of squares for odd t (for t = 9 and 15 one
//     row-complete Latin square), samples and rows shuffled for every block. At
//     every prefix of assessors any two samples have stood at each position equally
//     often, give or take 1. Ordered pairs of neighbours are equally frequent after
//     each block (t assessors, 2t for a pair), and within 1, for a pair within 2, at
//     every prefix. Where a sitting ends within an order, the servings on either side
//     are no neighbours: the rest are as even as the best of a few shuffles makes them.
//   - Some samples to each assessor: incomplete blocks of k, balanced where a
//     design exists and is found ([Balanced]), else nearly ([Nearly]). Positions
//     are even over each repeat of the design, give or take 1; ordered pairs of a
//     balanced design after each k repeats (2k for odd k), served at one sitting. What
//     a prefix lacks, [Plan.CountBalance] reports.
//   - One sample to each assessor: permuted blocks of random size within each
//     stratum (within 3 at every prefix of a stratum), or minimisation. Who belongs to
//     which stratum is known on arrival: a plan drawn with [Options.OnArrival] leaves the
//     sample open, and [Arrivals] deals it then, from the seed and the order of arrival.
//   - Difference tests: every order of a turn equally often, give or take 1, at
//     every prefix of assessors.
//
// # Blocks
//
// A block is the assessors (or turns) over which orders are made even. With blocks
// of fixed size the last order of a block follows from the others. Blocks of random
// size put one, two or three of these together, each as likely, and shuffle them: the
// same orders are served, are harder to foretell, and what is within 1 at every prefix
// above is within 3. [Balance] says how often the next order can be guessed either way.
// Random size is the default where each assessor gets one sample.
//
// Replicates repeat the samples in passes: every sample once before any twice,
// each pass balanced as the first, no sample twice in a row where two passes
// join (of two samples, it may happen). Blind samples first makes two parts, each
// balanced; which blind sample meets which named one where they join is left to
// chance. Dishes kept apart takes one sitting for each name of a dish (a blind
// serving counts as one), by products of Williams designs, in which every two samples
// of different dishes follow each other equally often after a round of blocks (with 2
// dishes of v names, 2v² assessors), or, where dishes have unequal numbers of names,
// by circles cut at every sample: positions within 1.
// Names that are read before any tasting (expectation) have Williams orders of
// their own; nobody reads a name that they will not meet.
//
// # Sittings
//
// An assessor attends as few sittings as “most per sitting” and “keep dishes
// apart” allow; warm-up and fixed reference are served at each and count. The
// panel is split into as many groups as the remaining sittings and the seats
// need, runs of the plan as even as can be; all first sittings come before any
// second. Replicates do not by themselves call for more sittings: “most per
// sitting” does.
//
// # Codes
//
// 100 to 999 without [ExcludedCodes]; unique within a sitting; fresh for every
// plate, or (with a warning) for every sample, role and turn of a sitting. Nobody
// meets a code twice, at another sitting either. Spare codes come from what is left,
// those first that no sitting uses. The
// prescriptions follow ISO 13299 and AS 2542.2.2 (three digits, random; different
// codes for each assessor preferred).
//
// # Balanced incomplete blocks
//
// [Balanced] looks for the smallest b that bk = tr and λ(t−1) = r(k−1) admit, up
// to a limit, among all subsets, complements, and orbits of subsets under groups
// (which covers difference sets and difference families on residues and finite
// fields, with and without a fixed point). For every t ≤ 13, k ≤ 8 with b ≤ 200
// it is found. For larger t up to 26 and b ≤ 400 these smallest parameters have
// no design, and the next multiple is given:
//
//	t   k   b    why not
//	15  5   21   residual of (22, 7, 2) (Hall & Connor 1954), which fails Bruck–Ryser–Chowla
//	16  6    8   Fisher's inequality
//	21  6   14   Fisher's inequality; 28: Hall & Connor, residual of (29, 8, 2)
//	22  7   22   Bruck–Ryser–Chowla
//	22  8   33   exhaustive search (Bilous, Lam et al. 2007)
//	25 10   20   Fisher's inequality; 40: not found
//
// with their complements (15, 10), (16, 10), (21, 15), (22, 15), (22, 14) and
// (25, 15). Not found within the bounds, though some exist: (18, 7) and (18, 11)
// with b = 306; (22, 11) with b = 42 (84 is given); (24, 8) with b = 69, (24, 9)
// with 184, (24, 10) with 276 and their complements; (25, 9) and (25, 16) with 25
// (50 is given). Assessors then get a nearly balanced design.
//
// # Drawing again
//
// The same study, options and [EngineVersion] give the same plan byte for byte on
// every platform. Everything is drawn from sub-streams of the seed with names of
// their own ("orders", "names", "codes/1", "spare codes/1", … by sitting), so
// that a change of one shifts no other. A sub-stream is the generator ChaCha8 of
// math/rand/v2 (its output is specified: C2SP, chacha8rand), keyed with a
// SHA-256 of name and seed; numbers below a bound are taken by Lemire's method.
// [Redraw] draws the same lottery again and again for randomisation tests.
//
// A plan has a canonical text ([Plan.Canonical]), and [Plan.Hash] is its SHA-256.
// To check the hash without this program, from the key as JSON, in R (a seed above
// 2^53 has to be read as text: R keeps numbers as doubles):
//
//	p <- jsonlite::fromJSON("key.json"); s <- p$servings
//	lines <- c("cloche plan 1", paste("engine", p$engine),
//	  paste("seed", format(p$seed, scientific = FALSE)),
//	  paste("assessors", p$assessors), paste("sittings", p$sittings),
//	  paste("sample", p$samples),
//	  if (!is.null(s$stratum)) with(unique(s[c("assessor", "stratum")]),
//	    paste("stratum", assessor, stratum)),
//	  with(s, paste("serving", assessor, sitting, turn, position, kind,
//	    ifelse(code == "", "-", code), sample)),
//	  if (length(p$spare_codes)) paste("spare", p$spare_codes$sitting,
//	    sapply(p$spare_codes$codes, paste, collapse = " ")))
//	digest::digest(paste0(paste(lines, collapse = "\n"), "\n"), "sha256", serialize = FALSE)
//
// # Assumed
//
// The study is valid in itself (package study sees to that). Assessors are seated
// in the order of the plan; a place left empty unbalances it as a dropout does.
//
// # Sources
//
// Williams (1949), Aust. J. Sci. Res. A 2, 149–168; MacFie, Bratchell, Greenhoff
// & Vallis (1989), J. Sens. Stud. 4, 129–148 (Williams designs for tastings);
// Cochran & Cox (1957), Experimental Designs, ch. 11; ISO 29842 (incomplete
// blocks); John & Williams (1995), Cyclic and Computer Generated Designs; Hartley
// & Smith (1948), J. R. Stat. Soc. B 10, 262–263 (positions); Kramer & Mesner
// (1976), Discrete Math. 15, 263–296 (orbits); Pocock & Simon (1975), Biometrics
// 31, 103–115 (minimisation); ICH E9, 2.3.2 (block sizes); ISO 4120, ISO 10399,
// ISO 5495, ASTM E2139 (orders of difference tests); Lemire (2019), ACM Trans.
// Model. Comput. Simul. 29, 3. Volumes and pages from memory; the methods are
// checked by tests, not by the citations.
//
// # Not done here
//
// Sample size and power (package stats), analysis (package analysis), seating and
// rating (package panel). No design for three-way carry-over, and none that
// adapts to answers.
package design
