package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/compare"
	"rigloupe/inspect/junit"
)

// builds is what a call does for a build server: it counts only what is new since a saved
// examination, and writes what failed as XML. It does neither unless asked.
type builds struct {
	to     *output
	suites *junit.Suites
	old    []byte // what examine --json saved
	name   string // of the file it was in
}

// builds reads --junit and --baseline.
func (p *program) builds(junitTo, baseline string, inputs ...string) (*builds, error) {
	b := &builds{name: baseline}
	if baseline != "" {
		var err error
		if b.old, err = p.text("--baseline", baseline); err != nil {
			return nil, err
		}
		if _, err := compare.Read(b.old); err != nil {
			return nil, callError{fmt.Sprintf("--baseline %s: %v", shown(baseline), err)}
		}
		inputs = append(inputs, baseline)
	}
	var err error
	if b.to, err = p.output("--junit", junitTo, inputs...); err != nil {
		return nil, err
	}
	b.suites = junit.New()
	return b, nil
}

// add takes one examination, and answers the worst grade that counts: of all findings, or
// of those that are new.
func (b *builds) add(name string, res *inspect.Result, bar check.Grade) (check.Grade, error) {
	worst, isNew := res.Worst(), func(int) bool { return true }
	if b.old != nil {
		was, err := compare.Read(b.old, filepath.Base(name), res.File.Name)
		if err != nil {
			return 0, err
		}
		is, err := compare.Of(res)
		if err != nil {
			return 0, err
		}
		r := compare.Between(was, is)
		worst, isNew = r.Worst(), r.IsNew
	}
	b.suites.Add(res, func(number int, f *check.Finding) bool { return f.Grade >= bar && isNew(number) })
	return worst, nil
}

func (b *builds) unread(name string, err error) {
	if _, call := err.(callError); !call {
		b.suites.Unread(filepath.Base(name), errors.New(err.Error()))
	}
}

func (b *builds) write() error {
	if b.to == nil {
		return nil
	}
	return b.to.write(b.suites.Write, nil)
}
