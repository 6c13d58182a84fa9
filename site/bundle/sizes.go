package main

import (
	"compress/gzip"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// counter counts what is written to it.
type counter int64

func (c *counter) Write(p []byte) (int, error) { *c += counter(len(p)); return len(p), nil }

// printSizes lists what a visitor loads: raw, and gzipped as servers send it.
func printSizes(w io.Writer, dir string) error {
	fmt.Fprintf(w, "%12s %12s\n", "bytes", "gzipped")
	var raw, packed counter
	row := func(name string, data []byte) error {
		var c counter
		z, err := gzip.NewWriterLevel(&c, gzip.BestCompression)
		if err != nil {
			return err
		}
		if _, err := z.Write(data); err != nil {
			return err
		}
		if err := z.Close(); err != nil {
			return err
		}
		fmt.Fprintf(w, "%12d %12d  %s\n", len(data), c, name)
		raw, packed = raw+counter(len(data)), packed+c
		return nil
	}
	for _, name := range []string{"index.html", "wasm_exec.js", "examiner.wasm", "stage.wasm"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return err
		}
		if err := row(name, data); err != nil {
			return err
		}
	}
	for _, folder := range []string{"js", "css", "fonts"} {
		var all []byte
		err := filepath.WalkDir(filepath.Join(dir, folder), func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || strings.HasSuffix(p, ".txt") {
				return err
			}
			data, err := os.ReadFile(p)
			all = append(all, data...)
			return err
		})
		if err != nil {
			return err
		}
		if err := row(folder+"/", all); err != nil {
			return err
		}
	}
	fmt.Fprintf(w, "%12d %12d  in all\n", raw, packed)
	info, err := os.Stat(filepath.Join(dir, "rigloupe.html"))
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%12d %12s  rigloupe.html, one file\n", info.Size(), "")
	return nil
}
