package desk

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"path"
	"strings"

	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/proof"
)

// Mended is the figure after a run of a plan, under a name; "": mend.MendedName.
func Mended(start *mend.State, done []mend.Done, name string) Saved {
	end := start
	if len(done) > 0 {
		end = done[len(done)-1].State
	}
	if name == "" {
		name = mend.MendedName(start.Doc.Name)
	}
	return Saved{Name: name, Data: end.Bytes, Holds: end.Holds}
}

// Draw draws the place of a step, before and after.
type Draw func(before, after *mend.State, r *mend.Receipt) ([]paper.Picture, error)

// Proof is the proof sheet of what Mended answers: the same on the terminal and on the
// page, where both draw with the same. date is written down as it is; "": none.
func Proof(ctx context.Context, start *mend.State, plan *mend.Plan, done []mend.Done, written Saved, date string, draw Draw) (s Saved, err error) {
	sum := sha256.Sum256(written.Data)
	sheet := &proof.Sheet{Start: start, Plan: plan, Done: done, Date: date, Pictures: draw,
		Written: paper.File{Name: written.Name, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(written.Data))}}
	s.Name = strings.TrimSuffix(written.Name, path.Ext(written.Name)) + "-proof.html"
	s.Data, err = sheet.HTML(ctx)
	s.Holds = holds(s.Data)
	return s, err
}

// Plan reads a plan: as it was saved, or out of a proof sheet.
func Plan(data []byte) (*mend.Plan, error) {
	if !bytes.HasPrefix(data, []byte("<!doctype html>")) {
		return mend.ParsePlan(data)
	}
	d, err := paper.Read(data)
	if err != nil {
		return nil, err
	}
	text, ok := d.Texts[proof.PlanText]
	switch {
	case !ok:
		return nil, errors.New("this sheet holds no plan")
	case !d.Whole:
		return nil, errors.New("this sheet was changed since it was made: its plan is not taken from it")
	}
	return mend.ParsePlan([]byte(text))
}

// Verify says whether a sheet is about the model of a source, and whether the sheet is as
// it was made. An error: the file cannot be read, or what was given as a sheet is none.
func Verify(sheet []byte, of *Source) (*paper.Verdict, error) {
	name, data, err := of.main()
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	sums := []string{hex.EncodeToString(sum[:])}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) { // a sheet is about the model that is packed in it
		if d, err := of.Original(); err == nil {
			_, inner, _ := d.Source()
			sums = append(sums, inner)
		}
	}
	return paper.Verify(sheet, name, int64(len(data)), sums...)
}

// main is the file itself, whatever it holds.
func (s *Source) main() (string, []byte, error) {
	if s.dir != nil {
		data, err := fs.ReadFile(s.dir, s.name)
		return s.name, data, err
	}
	if len(s.files) == 0 {
		return "", nil, errors.New("no file was handed over")
	}
	return s.files[0].Name, s.files[0].Data, nil
}
