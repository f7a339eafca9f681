package site

import (
	"encoding/json"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"
)

// cachedAssets are what goes on without network needs, for the ballot and for the
// floor.
var cachedAssets = map[string][]string{
	"ballot": {"cloche.css", "icon.svg", "ahead.js", "asks.js", "ballot.js", "check.js", "draft.js", "gate.js",
		"keeper.js",
		"line.js", "offline.js", "once.js", "one.js", "outbox.js", "places.js", "rinse.js", "seal.js", "ticks.js",
		"worker_here.js"},
	"floor": {"cloche.css", "staff.css", "icon.svg", "acts.js", "asks.js", "check.js", "floor.js", "floor_ahead.js",
		"floor_offline.js", "keeper.js", "kept.js", "line.js", "live.js", "once.js", "outbox.js", "pad.js",
		"places.js", "say.js", "seal.js", "ticks.js", "worker_here.js"},
}

// Worker serves the service worker, which has to stand outside the versioned
// addresses and names the version that it belongs to.
func (s *Site) Worker(c *gin.Context) error {
	addresses := map[string][]string{}
	for part, names := range cachedAssets {
		for _, name := range names {
			address, err := s.assets.url(name)
			if err != nil {
				return err
			}
			addresses[part] = append(addresses[part], address)
		}
	}
	list, err := json.Marshal(addresses)
	if err != nil {
		return err
	}
	body := fmt.Appendf(nil, "const VERSION = %q;\nconst ASSETS = %s;\n%s", s.assets.version, list,
		s.assets.files["worker.js"].plain)
	WritePage(c, http.StatusOK, contentType("worker.js"), body)
	return nil
}
