package site

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"regexp"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// Assets are the files under web/static with one version for all: a hash of
// their names and bytes. One version lets scripts import their neighbours.
type Assets struct {
	version string
	files   map[string]asset // by path below static
}

type asset struct {
	kind   string // content type
	plain  []byte
	zipped func() []byte   // made when it is first asked for; nil when it would not be smaller
	needs  func() []string // the neighbours that a script imports; looked for once
}

func ReadAssets(from fs.FS) (*Assets, error) {
	a := &Assets{files: map[string]asset{}}
	sum := sha256.New()
	err := fs.WalkDir(from, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := fs.ReadFile(from, name)
		if err != nil {
			return err
		}
		fmt.Fprintf(sum, "%s %d\n", name, len(body))
		sum.Write(body)
		a.files[strings.TrimPrefix(name, "static/")] = asset{kind: contentType(name), plain: body,
			zipped: sync.OnceValue(func() []byte { return compressed(body) }),
			needs:  sync.OnceValue(func() []string { return imports(body) })}
		return nil
	})
	a.version = hex.EncodeToString(sum.Sum(nil))[:16]
	return a, err
}

// contentType does not ask the machine for its table, which differs by machine.
func contentType(name string) string {
	switch path.Ext(name) {
	case ".css":
		return "text/css; charset=utf-8"
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	}
	if t := mime.TypeByExtension(path.Ext(name)); t != "" {
		return t
	}
	return "application/octet-stream"
}

// url returns the address of a file below static.
func (a *Assets) url(name string) (string, error) {
	if _, ok := a.files[name]; !ok {
		return "", fmt.Errorf("no asset %q", name)
	}
	return "/assets/" + a.version + "/" + name, nil
}

// imported finds what a script imports from its neighbours.
var imported = regexp.MustCompile(`(?m)^import [^"]*"\./([^"]+)"`)

func imports(script []byte) (names []string) {
	for _, m := range imported.FindAllSubmatch(script, -1) {
		names = append(names, string(m[1]))
	}
	return names
}

// modules returns the addresses of scripts and of all that they import, each once. A page
// that names them has the browser ask for all at the same time: it learns of an import only
// from the script that has it, so that a chain of three takes three journeys.
func (a *Assets) modules(names ...string) ([]string, error) {
	var addresses []string
	seen := map[string]bool{}
	for len(names) > 0 {
		name := names[0]
		names = names[1:]
		if seen[name] {
			continue
		}
		seen[name] = true
		address, err := a.url(name)
		if err != nil {
			return nil, err
		}
		addresses = append(addresses, address)
		names = append(names, a.files[name].needs()...)
	}
	return addresses, nil
}

// Asset serves a file for good: a changed file has another address.
func (s *Site) Asset(c *gin.Context) error {
	file, ok := s.assets.files[strings.TrimPrefix(c.Param("file"), "/")]
	if !ok || c.Param("version") != s.assets.version {
		return panel.ErrNotFound
	}
	c.Header("Cache-Control", "public, max-age=31536000, immutable")
	Write(c, http.StatusOK, file.kind, file.plain, file.zipped())
	return nil
}

// compressed returns an asset compressed, or nil when that saves nothing. It takes
// its time: once a process.
func compressed(body []byte) []byte {
	if len(body) < leastZipped {
		return nil
	}
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write(body)
	if err != nil || w.Close() != nil || b.Len() >= len(body) { // a buffer never fails
		return nil
	}
	return b.Bytes()
}
