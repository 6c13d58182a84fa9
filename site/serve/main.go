// Command serve shows the built page on this machine only. A taken port is said
// and the next one tried. It is a development server: any static server will do.
package main

import (
	"errors"
	"flag"
	"fmt"
	"log"
	"mime"
	"net"
	"net/http"
	"os"
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

// handler serves the folder. The page's own rules stand in its meta tag; a worker
// has only the header, so it is sent with every answer.
func handler(dir string) http.Handler {
	_ = mime.AddExtensionType(".wasm", "application/wasm")
	files := http.FileServer(http.Dir(dir))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; worker-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		files.ServeHTTP(w, r)
	})
}
