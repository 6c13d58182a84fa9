package inspect

import (
	"slices"

	"rigloupe/inspect/check"
)

// Wrong bind matrices put parts of the surface where nobody modelled them: what compares
// the two sides there answers for the matrices, on every vertex and for the plane itself,
// so a place tells nothing of what is whose. Such checks are not looked at. One joint that
// is bound a little off leaves the plane as it is, but its vertices meet others' images; so
// do a few that are exchanged, as long as that is a flaw and no stop.
var blinds = map[string][]string{
	"skeleton/bind-lost":  {"surface/lopsided", "binding/mirror-mismatch", "intake/off-ground"},
	"skeleton/bind-mixed": {"surface/lopsided", "binding/mirror-mismatch", "intake/off-ground"},
	"skeleton/bind-odd":   {"binding/mirror-mismatch"},
}

const blindedWhy = "bind matrices are wrong, so parts do not stand where they were made; mend those first"

// Where whole figures share a piece of surface, none of them can be looked at by itself,
// and what holds for one body holds for no two.
var ofOneAlone = []string{
	"intake/unapplied-turn", "intake/odd-height", "intake/facing",
	"surface/lopsided",
	"skeleton/roles", "skeleton/side-label", "skeleton/lone-side", "skeleton/uneven-pair", "skeleton/rest-pose", "skeleton/proportions",
	"skeleton/loose-chain", "skeleton/name-clash", "skeleton/fragile-name", "skeleton/axes", "skeleton/role-unheld",
	"binding/cross-body", "binding/mirror-mismatch", "binding/stray-island",
	"bends/collapse", "bends/twist-pinch", "bends/stretch", "bends/turned-over", "bends/tear-along",
	"motion/foot-skate", "motion/travel", "motion/still-chain", "motion/stretched-bone",
}

const fusedWhy = "whole figures share a piece of surface, and this asks about one; part them first"

// blind takes out the findings that wrong bind matrices or fused figures leave without a
// meaning, figure by figure, and says so of their checks.
func (r *Result) blind() {
	type blot struct{ figure, id string } // figure "": all, or the only one
	blots := map[blot]bool{}
	touched := map[string]bool{}
	for i := range r.Stations {
		for _, f := range r.Stations[i].judged {
			if f.Grade < check.Flaw {
				continue
			}
			cause := f.ID
			if cause == "skeleton/bind-mixed" && f.Grade < check.Stop {
				cause = "skeleton/bind-odd"
			}
			for _, id := range blinds[cause] {
				blots[blot{f.Figure, id}], touched[id] = true, true
			}
		}
	}
	why := blindedWhy
	if r.Exam.Fused() > 1 {
		why = fusedWhy
		for _, id := range ofOneAlone {
			blots[blot{"", id}], touched[id] = true, true
		}
	}
	if len(blots) == 0 {
		return
	}
	for i := range r.Stations {
		s := &r.Stations[i]
		s.Findings = slices.DeleteFunc(s.Findings, func(f check.Finding) bool {
			return blots[blot{f.Figure, f.ID}] || blots[blot{"", f.ID}]
		})
		for k := range s.Checks {
			c := &s.Checks[k]
			if touched[c.ID] && c.State != check.NotLookedAt && !slices.ContainsFunc(s.Findings, func(f check.Finding) bool { return f.ID == c.ID }) {
				c.State, c.Reason = check.NotLookedAt, why
			}
		}
	}
}
