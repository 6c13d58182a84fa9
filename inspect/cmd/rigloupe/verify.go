package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/say"
)

// verify says whether a sheet is about a file, and whether the sheet is as it was made.
func (p *program) verify(args []string) (int, error) {
	f := flag.NewFlagSet("verify", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) != 2 {
		return 0, callError{"want SHEET.html and FILE, got " + say.Count(len(files), "file", "files")}
	}
	sheet, err := p.whole(files[0])
	if err != nil {
		return 0, err
	}
	at, err := p.find(files[1])
	if err != nil {
		return 0, err
	}
	var v *paper.Verdict
	err = at.with(func(from *desk.Source) (err error) {
		v, err = desk.Verify(sheet, from)
		return err
	})
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(files[0]), err)
	}
	if *asJSON {
		e := json.NewEncoder(p.out)
		e.SetEscapeHTML(false)
		err = e.Encode(v)
	} else {
		_, err = fmt.Fprintln(p.out, typed(line(v.Says)))
	}
	if !v.Good() {
		return exitGrade, err
	}
	return exitDone, err
}

// whole reads a file that is no model.
func (p *program) whole(name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err == nil {
		err = p.take(name, info)
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(name)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %s", shown(name), reason(err))
	}
	return data, nil
}
