package design

// drawings are those of all questions. This list alone names them all.
var drawings = []drawing{
	drawNaming, drawRating, drawTriangle, drawDuoTrio, drawTwoAFC, drawThreeAFC, drawTetrad, drawANotA,
	drawSameDifferent, drawPreference, drawRankingByAttribute, drawRankingByLiking, drawAmounts, drawWhichWords,
	drawThreshold,
	drawProfile, drawRightAlone,
}
