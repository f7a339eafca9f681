package server

import (
	"fmt"
	"slices"
	"sync"

	"cloche/internal/server/builder"
	"cloche/internal/server/desk"
	"cloche/internal/server/phones"
	"cloche/internal/server/room"
	"cloche/internal/server/site"
	"cloche/web"
)

// The files of the site are part of the program: whoever needs them first reads
// them for every server of the process.
var (
	siteAssets    = sync.OnceValues(func() (*site.Assets, error) { return site.ReadAssets(web.FS) })
	usualPages    = sync.OnceValues(func() (*site.Pages, error) { return sitePages(false) })
	inventedPages = sync.OnceValues(func() (*site.Pages, error) { return sitePages(true) })
)

// readSite returns the assets and the screens of a service; invented says on
// every screen that the data is invented.
func readSite(invented bool) (*site.Assets, *site.Pages, error) {
	a, err := siteAssets()
	if err != nil {
		return nil, nil, fmt.Errorf("read assets: %w", err)
	}
	read := usualPages
	if invented {
		read = inventedPages
	}
	p, err := read()
	if err != nil {
		return nil, nil, fmt.Errorf("read templates: %w", err)
	}
	return a, p, nil
}

func sitePages(invented bool) (*site.Pages, error) {
	a, err := siteAssets()
	if err != nil {
		return nil, err
	}
	all := slices.Concat(site.Screens, phones.Screens, room.Screens, desk.Screens, builder.Screens)
	return site.ReadPages(web.FS, a, invented, all)
}
