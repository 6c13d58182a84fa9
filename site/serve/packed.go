package main

import (
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
)

// codings are the packed forms that the build lays beside a file, the smallest first.
var codings = []struct{ name, ending string }{{"br", ".br"}, {"gzip", ".gz"}}

// packed hands out a file in a form that the browser takes (RFC 9110 §12.5.3), where one
// lies beside it and is no older; everything else goes on to next.
func packed(dir http.FileSystem, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := path.Clean("/" + r.URL.Path)
		if strings.HasSuffix(r.URL.Path, "/") {
			name = path.Join(name, "index.html")
		}
		w.Header().Add("Vary", "Accept-Encoding")
		kind := mime.TypeByExtension(path.Ext(name))
		plain, err := dir.Open(name)
		if err != nil || kind == "" || r.Header.Get("Range") != "" || path.Base(r.URL.Path) == "index.html" { // a range is of the plain bytes
			if err == nil {
				plain.Close()
			}
			next.ServeHTTP(w, r)
			return
		}
		defer plain.Close()
		for _, c := range codings {
			if !takes(r.Header.Values("Accept-Encoding"), c.name) {
				continue
			}
			f, err := dir.Open(name + c.ending)
			if err != nil {
				continue
			}
			defer f.Close()
			is, err := f.Stat()
			was, other := plain.Stat()
			if err != nil || other != nil || is.IsDir() || is.ModTime().Before(was.ModTime()) {
				continue
			}
			w.Header().Set("Content-Encoding", c.name)
			w.Header().Set("Content-Type", kind)
			http.ServeContent(w, r, "", is.ModTime(), f)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// takes tells whether a browser takes a coding: it names it, and not with a weight of nought.
func takes(accepts []string, coding string) bool {
	for _, line := range accepts {
		for _, one := range strings.Split(line, ",") {
			name, weight, _ := strings.Cut(one, ";")
			if !strings.EqualFold(strings.TrimSpace(name), coding) {
				continue
			}
			_, q, given := strings.Cut(strings.ReplaceAll(weight, " ", ""), "q=")
			v, err := strconv.ParseFloat(q, 64)
			return !given || err == nil && v > 0
		}
	}
	return false
}
