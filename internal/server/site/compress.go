package site

import (
	"bytes"
	"compress/gzip"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"
)

// leastZipped is the shortest body that is compressed, in bytes: less is smaller
// than the headers around it.
const leastZipped = 400

// compressors are kept for the next page: each holds hundreds of times what a page
// has. They favour speed, because a page is made for one phone and sent once.
var compressors = sync.Pool{New: func() any {
	w, err := gzip.NewWriterLevel(nil, gzip.BestSpeed)
	if err != nil {
		panic(err) // the level is one of the package's own
	}
	return w
}}

// WritePage writes what was made for this request, compressed when the browser
// takes it.
func WritePage(c *gin.Context, status int, kind string, body []byte) {
	var zipped []byte
	if takesZipped(c) {
		zipped = zip(body)
	}
	Write(c, status, kind, body, zipped)
}

func takesZipped(c *gin.Context) bool {
	return strings.Contains(c.GetHeader("Accept-Encoding"), "gzip")
}

// zip returns body compressed, or nil when that saves nothing.
func zip(body []byte) []byte {
	if len(body) < leastZipped {
		return nil
	}
	var b bytes.Buffer
	w := compressors.Get().(*gzip.Writer)
	defer compressors.Put(w)
	w.Reset(&b)
	_, err := w.Write(body)
	if err != nil || w.Close() != nil || b.Len() >= len(body) { // a buffer never fails
		return nil
	}
	return b.Bytes()
}
