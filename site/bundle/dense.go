package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"

	"github.com/klauspost/compress/zstd"
)

// unused are the characters that a page's parser would change or end at.
const unused = "\x00\r<"

// dense writes bytes as text that a page may hold between script tags: seven bits a
// character of ASCII, most significant first, so eight sevenths of their number. Where
// seven bits would be one of unused, they and the next seven stand in one character of two
// bytes, from U+0100 on. site/js/programs/dense.js reads it.
func dense(data []byte) string {
	var b strings.Builder
	b.Grow(len(data)*8/7 + 2)
	bits, have, escaped := 0, 0, -1
	put := func(seven int) {
		switch at := strings.IndexByte(unused, byte(seven)); {
		case escaped >= 0:
			b.WriteRune(rune(0x100 + escaped<<7 + seven))
			escaped = -1
		case at >= 0:
			escaped = at
		default:
			b.WriteByte(byte(seven))
		}
	}
	for _, c := range data {
		bits, have = bits<<8|int(c), have+8
		for have >= 7 {
			have -= 7
			put(bits >> have & 0x7f)
		}
		bits &= 1<<have - 1
	}
	if have > 0 {
		put(bits << (7 - have) & 0x7f)
	}
	if escaped >= 0 {
		put(0)
	}
	return b.String()
}

// zstandard packs by Debian's zstd where it is there, which makes the single file smaller by
// an eighth and takes some seconds, else by a library that is quick. The window holds all
// programs, so that one is told by the other.
func zstandard(data []byte) ([]byte, error) {
	c := exec.Command("zstd", "--quiet", "--ultra", "-22", "--long=25", "--check", "--stdout")
	c.Stdin = bytes.NewReader(data)
	var errs bytes.Buffer
	c.Stderr = &errs
	out, err := c.Output()
	if err == nil {
		return out, nil
	}
	if !errors.Is(err, exec.ErrNotFound) {
		return nil, fmt.Errorf("packing the single file: zstd: %w: %s", err, errs.Bytes())
	}
	fmt.Fprintln(os.Stderr, "bundle: without Debian's zstd rigloupe.html is larger by an eighth")
	w, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedBestCompression), zstd.WithWindowSize(32<<20), zstd.WithEncoderCRC(true))
	if err != nil {
		return nil, fmt.Errorf("packing the single file: %w", err)
	}
	return w.EncodeAll(data, nil), nil
}
