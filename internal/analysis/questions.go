package analysis

// answerings are those of all questions. This list alone names them all.
var answerings = []answering{
	answerNaming, answerRating, answerTriangle, answerDuoTrio, answerTwoAFC, answerThreeAFC, answerTetrad, answerANotA,
	answerSameDifferent, answerPreference, answerRankingByAttribute, answerRankingByLiking, answerAmounts,
	answerWhichWords,
	answerThreshold,
	answerProfile, answerRightAlone,
}
