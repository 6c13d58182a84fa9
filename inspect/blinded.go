package inspect

import (
	"slices"

	"rigloupe/inspect/check"
)

// Wrong bind matrices put parts of the surface where nobody modelled them: what compares
// the two sides there answers for the matrices, on every vertex and for the plane itself,
// so a place tells nothing of what is whose. Such checks are not looked at. One joint that
// is bound a little off leaves the plane as it is, but its vertices meet others' images; so
// do two that are exchanged, as long as they move little of the surface (movesLittle).
var blinds = map[string][]string{
	"skeleton/bind-lost":  {"surface/lopsided", "binding/mirror-mismatch", "intake/off-ground"},
	"skeleton/bind-mixed": {"surface/lopsided", "binding/mirror-mismatch", "intake/off-ground"},
	"skeleton/bind-odd":   {"binding/mirror-mismatch"},
}

// movesLittle is the share of the surface that exchanged matrices may move for the middle plane
// to stay where it is (set by: at 0.095, joints 5 and 11 of the walking man, 59 sound vertices met
// no image any more; at 0.068, a forearm of the knight, his own mismatch is told as before).
const movesLittle = 0.07

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
			if cause == "skeleton/bind-mixed" && offItsPlace(&f) <= movesLittle {
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

// offItsPlace is the share of the surface that wrong bind matrices move, as a finding says it; 1
// where it does not.
func offItsPlace(f *check.Finding) float64 {
	for _, m := range f.Measures {
		if m.Name == "share off its place" {
			return m.Value
		}
	}
	return 1
}
