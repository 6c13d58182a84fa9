package desk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"path"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/report"
	"rigloupe/inspect/say"
)

// Report is the report of an examination, made with these limits, of the model of a
// source; lengths are read in a unit. date is written down as it is; "": none.
func Report(r *inspect.Result, limits check.Overrides, of *Source, date string, lengths say.Length, draw report.Draw) (s Saved, err error) {
	name, data, err := of.main()
	if err != nil {
		return s, err
	}
	sum := sha256.Sum256(data)
	o := &report.Report{Result: r, Limits: limits, Date: date, Lengths: lengths, Draw: draw, File: paper.File{Name: name, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(data))}}
	s.Name = strings.TrimSuffix(name, path.Ext(name)) + "-report.html"
	s.Data, err = o.HTML()
	s.Holds = holds(s.Data)
	return s, err
}

// holds tells whether a document reads back as it was made.
func holds(made []byte) func([]byte) error {
	return func(data []byte) error {
		d, err := paper.Read(data)
		if err == nil && (!d.Whole || !bytes.Equal(data, made)) {
			err = errors.New("the sheet reads back otherwise than it was written")
		}
		return err
	}
}
