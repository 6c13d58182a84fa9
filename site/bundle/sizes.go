package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// printSizes lists what a visitor loads: raw, and packed as servers send it.
func printSizes(w io.Writer, dir string) error {
	fmt.Fprintf(w, "%12s %12s %12s\n", "bytes", "gzip", "Brotli")
	size := func(p string) int64 {
		info, err := os.Stat(p)
		if err != nil {
			return 0
		}
		return info.Size()
	}
	var sum [3]int64
	row := func(pattern string) error {
		files, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil || len(files) == 0 {
			return fmt.Errorf("nothing in %s is %s: %w", dir, pattern, err)
		}
		var n [3]int64
		for _, p := range files {
			raw := size(p)
			for k, ending := range []string{"", ".gz", ".br"} {
				if s := size(p + ending); s > 0 {
					n[k] += s
				} else {
					n[k] += raw
				}
			}
		}
		fmt.Fprintf(w, "%12d %12d %12d  %s\n", n[0], n[1], n[2], filepath.ToSlash(pattern))
		for k := range sum {
			sum[k] += n[k]
		}
		return nil
	}
	for _, p := range []string{"index.html", "wasm_exec.js", "worker.js", "examiner.wasm", "stage.wasm", "js/*.js", "css/*.css", "css/*.png", "fonts/*.woff2"} {
		if err := row(p); err != nil {
			return err
		}
	}
	fmt.Fprintf(w, "%12d %12d %12d  in all\n", sum[0], sum[1], sum[2])
	if err := row("draco.wasm"); err != nil { // when a file asks for it
		return err
	}
	if err := row("gpu.wasm"); err != nil { // behind the rest, where a graphics processor answers
		return err
	}
	fmt.Fprintf(w, "%12d %12s %12s  rigloupe.html, one file\n", size(filepath.Join(dir, "rigloupe.html")), "", "")
	return nil
}
