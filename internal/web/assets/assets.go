// Package assets holds what the pages of the bench load: the style sheet, the
// bundled scripts and the drawings, all built into the program. The scripts are
// written in TypeScript under source and bundled, with the command
//
//	go run ./tools/web
//
// into files, which are committed, so that building the program needs no more
// than Go.
package assets

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"sync"
	"time"
)

//go:embed files
var embedded embed.FS

// Prefix is the path under which the files are served.
const Prefix = "/static/"

type file struct {
	content []byte
	kind    string // its media type
	version string // from its content
}

// files are all files by name, read once.
var files = sync.OnceValue(func() map[string]file {
	all := map[string]file{}
	err := fs.WalkDir(embedded, "files", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := embedded.ReadFile(name)
		sum := sha256.Sum256(content)
		all[path.Base(name)] = file{content, kindOf(name), hex.EncodeToString(sum[:8])}
		return err
	})
	if err != nil {
		panic(err) // the files are part of the program
	}
	return all
})

// kindOf gives the media type of a file, without asking the machine, whose own
// tables may say otherwise.
func kindOf(name string) string {
	switch path.Ext(name) {
	case ".css":
		return "text/css; charset=utf-8"
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".txt":
		return "text/plain; charset=utf-8"
	}
	return mime.TypeByExtension(path.Ext(name))
}

// URL gives the path of a file together with its version, so that it may be kept
// by a browser for ever. It panics when there is no such file, which is a mistake
// in the program.
func URL(name string) string {
	f, ok := files()[name]
	if !ok {
		panic(fmt.Sprintf("assets: there is no file %q", name))
	}
	return Prefix + name + "?v=" + f.version
}

// Handler serves the files under Prefix. Only names that are built in exist:
// no path is ever looked up on a disk.
func Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		f, ok := files()[r.URL.Path[min(len(Prefix), len(r.URL.Path)):]]
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", f.kind)
		w.Header().Set("ETag", `"`+f.version+`"`)
		w.Header().Set("Cache-Control", "no-cache")
		if r.URL.Query().Get("v") == f.version {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.content))
	})
}
