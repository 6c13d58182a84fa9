package gltfio

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/say"
)

func isZip(b []byte) bool {
	return len(b) >= 4 && (string(b[:4]) == "PK\x03\x04" || string(b[:4]) == "PK\x05\x06")
}

// zipShelf opens a zip. Entries are unpacked when they are asked for, and only as
// far as bytes really come: the sizes in its directory are never believed. Files
// handed over beside it fill what is missing in it.
func zipShelf(f File, beside []File) (*shelf, error) {
	damaged := func(err error) error {
		return &Refused{File: f.Name, What: "the zip cannot be opened: " + strings.TrimPrefix(err.Error(), "zip: "), Hint: "copy or pack it again"}
	}
	z, err := zip.NewReader(bytes.NewReader(f.Data), int64(len(f.Data)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, damaged(err)
	}
	if n := len(z.File); n > ceiling.ZipEntries {
		return nil, &Refused{File: f.Name, What: fmt.Sprintf("the zip holds %s files; at most %s are looked through", say.Whole(n), say.Whole(ceiling.ZipEntries)), Hint: "pack the model and its own files alone"}
	}
	packed := int64(len(f.Data))
	for _, b := range beside {
		packed += int64(len(b.Data))
	}
	s := &shelf{used: map[string]bool{}, honest: func(size int64) int64 { return min(size, ceiling.ZipCounts*packed+ceiling.ZipCountsBase) }}
	entries := map[string]*zip.File{}
	for _, e := range z.File {
		name := tidy(e.Name)
		if strings.HasSuffix(e.Name, "/") || strings.HasSuffix(e.Name, `\`) || entries[name] != nil {
			continue
		}
		entries[name] = e
		s.names = append(s.names, name)
	}
	loose := map[string][]byte{}
	for _, b := range beside {
		name := tidy(b.Name)
		if entries[name] == nil && loose[name] == nil {
			loose[name] = b.Data
			s.names = append(s.names, name)
		}
	}
	left := int64(len(f.Data))*ceiling.ZipGrowth + ceiling.ZipGrowthBase
	unpacked := map[string][]byte{}
	s.read = func(name string) ([]byte, error) {
		e := entries[name]
		if b, ok := loose[name]; ok {
			return b, nil
		}
		if e == nil {
			return nil, fs.ErrNotExist
		}
		if b, ok := unpacked[name]; ok {
			return b, nil
		}
		if e.Flags&1 != 0 {
			return nil, errors.New("it is locked with a password inside the zip")
		}
		in, err := e.Open()
		if err != nil {
			return nil, err
		}
		defer in.Close()
		b, err := io.ReadAll(io.LimitReader(in, left+1))
		if err != nil {
			return nil, err
		}
		if left -= int64(len(b)); left < 0 {
			return nil, fmt.Errorf("the zip unpacks to more than %d times its size: a zip bomb", ceiling.ZipGrowth)
		}
		unpacked[name] = b
		return b, nil
	}
	return s, nil
}
