// Command serve shows the built page on this machine only. A taken port is said
// and the next one tried. It is a development server: any static server will do.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"log"
	"mime"
	"net"
	"net/http"
	"os"
	"path"
	"strings"
	"syscall"
)

// tries is how many ports are tried, from the one asked for upwards.
const tries = 20

func main() {
	dir := flag.String("dir", "site/dist", "folder to serve")
	port := flag.Int("port", 8377, "first port to try")
	flag.Parse()
	if _, err := os.Stat(*dir); err != nil {
		log.Fatalf("serve: %v; run `make site` first", err)
	}
	listener, err := listen(*port)
	if err != nil {
		log.Fatalf("serve: %v", err)
	}
	fmt.Printf("Rigloupe is at http://%s/ (Ctrl-C ends it)\n", listener.Addr())
	log.Fatal(http.Serve(listener, handler(*dir)))
}

// listen takes the first free port of 127.0.0.1.
func listen(first int) (net.Listener, error) {
	for port := first; port < first+tries; port++ {
		l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		if err == nil {
			return l, nil
		}
		if !errors.Is(err, syscall.EADDRINUSE) {
			return nil, err
		}
		fmt.Printf("Port %d is taken; trying %d.\n", port, port+1)
	}
	return nil, fmt.Errorf("ports %d to %d are all taken; name another with -port", first, first+tries-1)
}

// rules go with every answer: a worker has only the header, not the page's meta tag.
var rules = map[string]string{
	"Content-Security-Policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; worker-src 'self' blob:; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",

	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Embedder-Policy": "require-corp",
	"Cross-Origin-Resource-Policy": "same-origin",

	"Referrer-Policy":        "no-referrer",
	"Permissions-Policy":     "accelerometer=(), bluetooth=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), hid=(), microphone=(), midi=(), payment=(), serial=(), usb=(), xr-spatial-tracking=()",
	"X-Content-Type-Options": "nosniff",
	"Cache-Control":          "no-cache",
}

// handler serves the files of the folder to this machine: by its own names only, since
// another site may give its name this address and read along (DNS rebinding); nothing
// is taken, and no folder is listed.
func handler(dir string) http.Handler {
	_ = mime.AddExtensionType(".wasm", "application/wasm")
	shown := unlisted{http.Dir(dir)}
	files := packed(shown, http.FileServer(shown))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range rules {
			w.Header().Set(name, value)
		}
		switch {
		case !ours(r.Host):
			http.Error(w, "this server answers to 127.0.0.1 and localhost only", http.StatusMisdirectedRequest)
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "this server only shows files", http.StatusMethodNotAllowed)
		default:
			files.ServeHTTP(w, r)
		}
	})
}

// ours tells the names of this machine, with or without a port.
func ours(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	switch strings.ToLower(strings.Trim(host, "[]")) {
	case "127.0.0.1", "localhost", "::1":
		return true
	}
	return false
}

// unlisted is a folder whose folders are shown by their index.html or not at all.
type unlisted struct{ http.FileSystem }

func (u unlisted) Open(name string) (http.File, error) {
	f, err := u.FileSystem.Open(name)
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err != nil || !info.IsDir() {
		return f, err
	}
	index, err := u.FileSystem.Open(path.Join(name, "index.html"))
	if err != nil {
		f.Close()
		return nil, fs.ErrNotExist
	}
	index.Close()
	return f, nil
}
