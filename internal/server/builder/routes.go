package builder

import "cloche/internal/server/site"

// handlers are the handlers of this room.
type handlers struct {
	*site.Site
}

// Routes are those of the study builder.
func Routes(s *site.Site) []site.Route {
	p := &handlers{Site: s}
	return []site.Route{
		site.Get("/studies/new", site.Lead, p.newStudy),
		site.Post("/studies", site.Lead, p.begin),
		site.Get("/studies/:id/photos/:dish", site.Readers, p.photo),
		site.Get("/studies/:id/edit/:step", site.Lead, p.editStep),
		site.Post("/studies/:id/edit/:step", site.Lead, p.saveStep),
		site.Get("/studies/:id/quick/:step", site.Lead, p.quick),
		site.Post("/studies/:id/quick/:step", site.Lead, p.saveQuick),
		site.Get("/studies/:id/size", site.Lead, p.sizeAnswer),
		site.Post("/studies/:id/photos/:dish", site.Lead, p.setPhoto),
		site.Post("/studies/:id/lock", site.Lead, p.lock),
	}
}

// Screens are the screens of this room.
var Screens = []site.AnyScreen{
	analysisScreen.Any(),
	checkScreen.Any(),
	quickScreen.Any(),
	attributeScreen.Any(),
	dishScreen.Any(),
	HinderedScreen.Any(),
	nameScreen.Any(),
	newScreen.Any(),
	fieldsScreen.Any(),
	seeScreen.Any(),
	lockScreen.Any(),
	sizeScreen.Any(),
	textScreen.Any(),
}
