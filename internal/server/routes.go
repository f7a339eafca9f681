package server

import (
	"slices"

	"cloche/internal/server/builder"
	"cloche/internal/server/desk"
	"cloche/internal/server/phones"
	"cloche/internal/server/room"
	"cloche/internal/server/site"
)

// routes is every route of the service: its own, and those of each room.
func (s *server) routes() []site.Route {
	own := []site.Route{
		site.Get("/healthz", site.Anyone, s.healthy),
		site.Get("/readyz", site.Anyone, s.ready),
		site.Get("/assets/:version/*file", site.Anyone, s.Asset),
		site.Get("/worker.js", site.Anyone, s.Worker),
	}
	return slices.Concat(own, phones.Routes(s.Site), room.Routes(s.Site), desk.Routes(s.Site), builder.Routes(s.Site))
}
