package server

import (
	"fmt"
	"sync"

	"cloche/web"
)

// The files of the site are part of the program: whoever needs them first reads
// them for every server of the process.
var (
	siteAssets    = sync.OnceValues(func() (*assets, error) { return readAssets(web.FS) })
	usualPages    = sync.OnceValues(func() (pages, error) { return sitePages(false) })
	inventedPages = sync.OnceValues(func() (pages, error) { return sitePages(true) })
)

// readSite returns the assets and the screens of a service; invented says on
// every screen that the data is invented.
func readSite(invented bool) (*assets, pages, error) {
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

func sitePages(invented bool) (pages, error) {
	a, err := siteAssets()
	if err != nil {
		return nil, err
	}
	return readPages(web.FS, a, invented)
}
