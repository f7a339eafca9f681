package site

// Screens are the notices that every room shows.
var Screens = []AnyScreen{
	noticeScreen.Any(),
	deskNoticeScreen.Any(),
	staffNoticeScreen.Any(),
}
