// Package study says what is asked of a panel: dishes, names, samples,
// attributes with their scales, the panel, how it is served and what will be
// tested.
//
// A study is read from a file ([Parse]) that reports every mistake with its
// place, and has one canonical form ([Canonical])
// whose SHA-256 ([Hash]) is shown when the study is locked. The text of a file,
// with all mistakes and comments in it, is edited value by value ([Text]).
//
// # Study files
//
// A study file is YAML without anchors, tags and directives; its first key is
// the version, "cloche: 1". What may be left out has these values: one sitting,
// no limit of seats; design: all, one replicate, attributes asked in the order of the file, a fresh
// code for every serving,
// 10 spare codes, 30 s of rinsing, no seed (one is drawn when the study is
// locked), for duo-trio a balanced reference; test: paired-t (welch-t when each
// assessor gets one sample), two sides, alpha 0.05, Holm's adjustment.
//
// The first thing a rating study binds itself to is its primary comparison, so
// that analysis.compare and analysis.attribute are required. A difference test
// has one comparison by its nature: of the test only sides and alpha apply, and
// the section may be left out. All of these tests but 2-AFC are one-sided (sides: greater),
// because only more right answers than chance speak of a difference. Their
// samples are blind. 2-AFC and 3-AFC ask about one attribute, which has no scale,
// and the others have no attributes; analysis.compare may say which of the two
// samples of a 2-AFC or 3-AFC test is expected to have more of it (the first),
// and is the order of the samples if left out.
//
// Who is left out of the analysis, and when tasting ends, are rules that the
// program holds. panel.screening has up to three questions that assessors answer
// with yes or no before their first plate, and which answer leaves their ratings
// out; the program has words for some of them ([StockScreens]), which need their id
// alone. Tasting ends when analysis."stop after" assessors have finished (every
// place if left out) or after the day analysis."stop by", whichever comes first;
// the report holds this against what happened. panel."minimum age" is in years:
// assessors confirm it before consent, and a study of which a dish contains
// alcohol has to ask it. The age itself is for the law of the place.
// A mark on a line has no number on the phone unless serving."show numbers" is true:
// a number that was read is copied to the next serving. panel."withdrawal days" is for how many
// days after the close answers can be taken
// out (7 if left out; 0 is not after the close). With panel."tell result": true guests read on
// their phones after the close what was found, and their own answers beside everybody's.
// panel."last question" asks after the last plate what a guest thinks was compared (compared),
// and besides whether the plates were one dish (same) or which was which (which); texts."first
// compared" and "second compared" are what guests call the two then.
// Phones show the questions about a serving one by one with serving."one question a screen": true.
//
// # Languages
//
// What assessors read is in the first language that the file lists under
// languages (BCP 47 tags; [en] if left out) and, under translations, in every
// other one: each name, question, end word and category, each note on what
// dishes contain, and each text. One that is missing is a mistake. The program
// has the words of allergens, of the hedonic scale and of its pages in the
// languages of [Spoken], so that a study can be in these and no others. Titles of
// dishes, and strata without a question to assessors, are the kitchen's and the
// floor's and stay as they are. [Study.In] gives the study in one language.
//
// On a tray of several servings assessors may taste again what they have tasted, unless
// serving."taste once" is true. Without network a tray opens on a phone when all codes on
// its plates were typed, or with serving."tray opens": first code the one furthest to the
// guest's left.
//
// serving.strata are properties of assessors within which the samples are kept even
// where each gets one. One with a question (ask) is put to assessors when they arrive;
// of the others the staff say the level.
//
// A name under test is a treatment: in another language it is another word, and
// a scale with other words is another scale. Where that matters, let one sitting
// have one language.
//
// # Remarks on names
//
// [NameRemarks] looks at the names of a sound study: whether they differ in more
// than their words, and whether a dish meets what its name says. It refuses
// nothing, and finding nothing promises nothing.
//
// # Canonical form
//
// The canonical form is a JSON object as RFC 8785 (JSON Canonicalization Scheme)
// writes it: UTF-8, no spaces, no newline at the end, members sorted by name,
// strings escaped only where JSON must, numbers in the shortest form of
// ECMAScript. Every member is always present, but for series, and tell_result, one_question, last_question,
// first_compared and second_compared, which are there when they say something:
//
//	cloche       1
//	title, question, hypothesis        text; "" when not given
//	invented     true or false
//	languages    list of tags, the study's own first
//	dishes       list of {id, title, portion, serve_at, allergens, also_contains, alcohol}
//	names        list of {id, text}
//	samples      list of {id, dish, name}; name is null for a blind sample
//	attributes   list of {id, ask, scale}; scale is null, or
//	             {kind, low, high, from, to, labels}
//	panel        {assessors, sittings, seats, minimum_age, withdrawal_days, screening}; seats 0 is
//	             no limit, minimum_age 0 asks for none; tell_result, last_question; screening is a list of
//	             {id, ask, leaves_out}
//	serving      {design, per_assessor, replicates, warm_up, fixed_reference, reference,
//	             blind_first, keep_dishes_apart, expectation, expectation_of_half, attributes,
//	             show_numbers, taste_once, tray_opens, plate_gate, most_per_sitting, codes, spare_codes,
//	             rinse_seconds, pass_minutes, at_one_table, grace_minutes, seed, strata, minimise, blocks,
//	             one_question, time_zone}; the last two where they are set
//	texts        {welcome, consent, instructions, thanks, debrief, comment, first_compared,
//	             second_compared}
//	analysis     {compare, attribute, test, sides, alpha, smallest_effect, adjust,
//	             undecided, expected_order, stop_after, stop_by}; expected_order is a list of
//	             samples, stop_after 0 is every place, stop_by "" no day; with an
//	             attribute that is asked as about right, liking too
//	series       {in, of_dishes, wanted_rating}, in a study of amounts alone: in is their unit,
//	             of_dishes an object of dish id and amount, wanted_rating a number or null
//	translations list of {language, names, attributes, screening, strata, also_contains, texts}
//
// Lists keep the order of the file, except allergens, which stand in the order
// of Annex II. Texts are without space at either end; YAML decides about their
// inner lines. serve_at is in °C. kind is line, categories, about-right or hedonic-9; from
// and to are the lowest and highest value; labels are those of the hedonic scale
// too. per_assessor, most_per_sitting and smallest_effect are 0, warm_up,
// fixed_reference, reference and seed null, when they are not given. The seed is
// a string of digits, since 64 bits do not fit a JSON number. In a difference
// test attribute, test and adjust are "", and compare is ["",""] unless the test
// is 2-AFC or 3-AFC; it is "all" where all samples are compared together, and {effect_of,
// levels, samples} where the plan compares an effect of crossed samples: levels are ["",""]
// where all are compared, samples always. A stratum is {id, ask, levels}, ask
// "" where assessors are not asked. Translations stand in the order
// of languages, and what is in them in the order of the study: an attribute is
// {id, ask, low, high, labels}, the words alone, and what dishes contain is
// {note, text}.
//
// The hash is the SHA-256 of these bytes in hexadecimal, so that
//
//	sha256sum canonical.json
//
// checks a canonical form that was saved, and any implementation of RFC 8785
// makes it from the members above. testdata/study/canonical_hash.py does so from
// a study file, in Python.
//
// Sources: Regulation (EU) No 1169/2011, Annex II (allergens); Peryam & Pilgrim
// (1957), Food Technology 11(9), 9-14 (the 9-point hedonic scale); ISO 4121
// (kinds of scale); ISO 4120, ISO 10399, ISO 5495 (sides of difference tests);
// RFC 8785 (canonical form). Bounds of lists, lengths and numbers are our own.
//
// The package does not draw plans (package design), analyse ratings (package
// analysis) or store anything. It does not judge whether a dish is safe to serve
// at its temperature.
package study
