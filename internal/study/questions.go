package study

// questions are all kinds of question, in the order in which they are listed. This
// list alone names them all.
var questions = []*QuestionKind{
	&naming, &rating, &triangle, &duoTrio, &twoAFC, &threeAFC, &tetrad, &aNotA, &sameDifferent, &preference,
	&rankingByAttribute, &rankingByLiking, &howMuch, &whichWords, &fromHowMuch,
	&profile, &rightAlone,
}
