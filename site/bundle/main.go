// Command bundle writes the page to a folder that any static server can serve
// from any path, and as one HTML file that opens from disk. The wasm programs
// must lie in the folder already. Beside each file that is worth it lie the same bytes by
// gzip and Brotli, for servers that hand those out. It prints the sizes.
package main

import (
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("bundle: ")
	from := flag.String("site", "site", "the page's sources")
	to := flag.String("out", "site/dist", "folder to write; stage.wasm, gpu.wasm and examiner.wasm lie in it")
	quality := flag.Int("brotli", 9, "how hard Brotli works, 0 to 11; the last makes programs smaller by an eighth and takes a minute")
	ofTerminal := flag.String("terminal-notices", "", "write the notices of the command line into this file, and nothing else")
	flag.Parse()
	if *ofTerminal != "" {
		text, err := terminalNotices()
		if err == nil {
			err = os.WriteFile(*ofTerminal, text, 0o644)
		}
		if err != nil {
			log.Fatal(err)
		}
		return
	}
	if err := writeFolder(*from, *to); err != nil {
		log.Fatal(err)
	}
	if err := writeNotices(*from, *to); err != nil {
		log.Fatal(err)
	}
	single := filepath.Join(*to, "rigloupe.html")
	one := make(chan error, 1)
	go func() { one <- writeSingle(*to, filepath.Join(*from, "js", "programs", "unpacker.js"), single) }()
	if err := writeOffline(*to); err != nil {
		log.Fatal(err)
	}
	if err := pack(*to, *quality); err != nil {
		log.Fatal(err)
	}
	if err := <-one; err != nil {
		log.Fatal(err)
	}
	if err := printSizes(os.Stdout, *to); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("The page is %s; any static server will do. One file: %s.\n", filepath.Join(*to, "index.html"), single)
}
