package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

//go:embed pack.mjs
var packer string

// worth tells by the end of a name whether bytes grow fewer by packing; fonts and pictures
// are packed as they come.
var worth = []string{".html", ".js", ".css", ".wasm", ".txt"}

// pack writes NAME.gz and NAME.br beside each file of the served folder that is worth it,
// by Node, which the build needs anyway and which has both. The single file, which nobody
// serves, is left out, and so is what tests leave behind.
func pack(dir string, quality int) error {
	var files []string
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == "shots" {
				return fs.SkipDir
			}
			return nil
		}
		if slices.Contains(worth, filepath.Ext(p)) && d.Name() != "rigloupe.html" {
			files = append(files, p)
		}
		return nil
	})
	if err != nil {
		return err
	}
	c := exec.Command("node", append([]string{"--input-type=module", "-", strconv.Itoa(quality)}, files...)...)
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(packer), os.Stdout, os.Stderr
	if err := c.Run(); err != nil {
		if errors.Is(err, exec.ErrNotFound) {
			return fmt.Errorf("packing the page needs Node: %w", err)
		}
		return fmt.Errorf("packing the page: %w", err)
	}
	return nil
}
