package server

// screens registers every screen. [readPages] parses them at start, so that a
// template with a mistake, or one that no screen uses, stops the program.
var screens = []struct{ name, layout string }{
	{homeScreen.name, homeScreen.layout},
	{noticeScreen.name, noticeScreen.layout},
	{deskNoticeScreen.name, deskNoticeScreen.layout},
	{setupScreen.name, setupScreen.layout},
	{signInScreen.name, signInScreen.layout},

	{welcomeScreen.name, welcomeScreen.layout},
	{resumeScreen.name, resumeScreen.layout},
	{declinedScreen.name, declinedScreen.layout},
	{instructionsScreen.name, instructionsScreen.layout},
	{servingScreen.name, servingScreen.layout},
	{rinseScreen.name, rinseScreen.layout},
	{thanksScreen.name, thanksScreen.layout},
	{overScreen.name, overScreen.layout},
	{lateScreen.name, lateScreen.layout},
	{withdrawScreen.name, withdrawScreen.layout},

	{studiesScreen.name, studiesScreen.layout},
	{uploadScreen.name, uploadScreen.layout},
	{draftScreen.name, draftScreen.layout},
	{lockedScreen.name, lockedScreen.layout},
	{openScreen.name, openScreen.layout},
	{closeScreen.name, closeScreen.layout},
	{closedScreen.name, closedScreen.layout},
	{cardScreen.name, cardScreen.layout},
	{fileScreen.name, fileScreen.layout},
	{balanceScreen.name, balanceScreen.layout},
	{logScreen.name, logScreen.layout},

	{staffNoticeScreen.name, staffNoticeScreen.layout},
	{joinStaffScreen.name, joinStaffScreen.layout},
	{roomScreen.name, roomScreen.layout},
	{seatScreen.name, seatScreen.layout},
	{guestScreen.name, guestScreen.layout},
	{scoresScreen.name, scoresScreen.layout},
	{kitchenScreen.name, kitchenScreen.layout},
	{platingScreen.name, platingScreen.layout},
	{labelsScreen.name, labelsScreen.layout},
	{blindScreen.name, blindScreen.layout},
	{openedScreen.name, openedScreen.layout},
	{leadBlindScreen.name, leadBlindScreen.layout},
	{leadOpenedScreen.name, leadOpenedScreen.layout},
	{staffLinksScreen.name, staffLinksScreen.layout},
}
