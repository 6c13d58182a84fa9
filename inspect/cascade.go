package inspect

import (
	"fmt"
	"slices"

	"rigloupe/inspect/check"
)

// A cascade says that findings of one check are the work of findings of another:
// vertices bound to nothing lie in one heap, which then looks like almost coincident
// vertices, like triangles without area, like a joint that loses its volume. follows
// decides it by the places of the two, never by their ids alone.
type cascade struct {
	cause   string
	effects []string
	follows func(*reach, *check.Finding) bool
}

// cascades is the whole table. A check stands as an effect only in rows above those in
// which it is a cause, or nowhere: so no circle can arise (a test holds it).
var cascades = []cascade{
	// Every place at rest comes out of the bind matrices, so what is measured on placed
	// surfaces follows from wrong ones.
	{"skeleton/bind-lost", slices.Concat(atRest, sides, bent, weights, placed), (*reach).explains},
	{"skeleton/bind-mixed", slices.Concat(atRest, sides, bent, weights, placed), (*reach).explains},
	{"skeleton/bind-odd", slices.Concat(atRest, sides, bent, weights), (*reach).explains},

	// The mesh itself is measured with its weights made whole: no fault of Surface follows
	// from weights.
	{"binding/unbound", slices.Concat(placedAtRest, sides, bent, weights), (*reach).explains},
	{"binding/bad-index", slices.Concat(placedAtRest, sides, bent, weights), (*reach).explains},
	{"binding/sum-off", slices.Concat(placedAtRest, sides, bent, []string{"binding/split-seam"}), (*reach).explains},

	{"intake/unapplied-scale", []string{"intake/odd-height"}, (*reach).explainsHeight},
	{"intake/unapplied-scale", []string{"intake/bounds-off", "skeleton/bind-odd", "skeleton/scaled-joint"}, (*reach).explainsFactor},

	// What a joint without size holds lies in one plane, and so does all below it.
	{"skeleton/scaled-joint", slices.Concat(atRest, sides, bent, weights, []string{"skeleton/bind-odd", "skeleton/uneven-pair", "skeleton/axes"}), (*reach).explainsFlat},

	// What falls together on a coarse grid.
	{"intake/packed", []string{"surface/slivers", "binding/split-seam"}, (*reach).explainsStep},

	{"skeleton/scaled-joint", []string{"intake/uneven-scale"}, (*reach).explainsBelow},
	{"skeleton/bind-odd", posedSides, (*reach).explainsPosed},
	// Two joints that bear each other's names seem to hang on each other's limbs.
	{"skeleton/side-label", []string{"skeleton/loose-chain"}, (*reach).explainsNames},
	{"skeleton/loose-chain", []string{"bends/stretch", "bends/turned-over", "bends/collapse", "bends/crack", "bends/tear-along", "motion/worst-frame", "binding/mirror-mismatch"}, (*reach).explainsHung},

	// A limb that no joint holds stays stiff: it creases where its joint turns, and the other side does not.
	{"skeleton/role-unheld", []string{"binding/mirror-mismatch", "binding/rough", "bends/collapse", "bends/twist-pinch", "bends/stretch", "bends/turned-over", "bends/crack", "bends/tear-along"}, (*reach).explainsUnheld},

	{"binding/split-seam", []string{"bends/crack"}, (*reach).explains},
	{"binding/stray-island", []string{"bends/tear-along", "bends/stretch", "bends/turned-over", "bends/collapse", "binding/rough", "binding/mirror-mismatch"}, (*reach).explains},
	// A key that is off its curve is a jump out and a jump back.
	{"motion/stray-key", []string{"motion/jump", "motion/long-way"}, (*reach).explainsMoment},
	{"motion/stray-key", []string{"motion/loop-jump"}, (*reach).explainsSeam},
	{"binding/cross-body", []string{"bends/tear-along", "bends/stretch", "bends/turned-over", "bends/collapse", "binding/rough", "binding/mirror-mismatch"}, (*reach).explains},
}

// What faults of binding set off, by where it shows.
var (
	placedAtRest = []string{"intake/bounds-off", "intake/off-ground", "intake/odd-height"}
	atRest       = append(slices.Clone(placedAtRest), "skeleton/off-centre", "surface/near-coincident", "surface/slivers", "surface/inside-out", "surface/ready-to-bind")
	sides        = []string{"surface/lopsided", "binding/mirror-mismatch", "binding/cross-body", "binding/stray-island"}
	bent         = []string{"bends/collapse", "bends/twist-pinch", "bends/stretch", "bends/turned-over", "bends/crack", "bends/tear-along", "motion/worst-frame", "motion/under-ground", "motion/foot-skate"}
	weights      = []string{"binding/rough", "binding/unplugged"}
	placed       = []string{"binding/hangs-on", "binding/idle-joint", "skeleton/bind-odd", "skeleton/proportions"}
	// What an asymmetric pose does to sides and boxes at rest.
	posedSides = []string{"intake/bounds-off", "intake/off-ground", "intake/unapplied-turn", "surface/lopsided", "binding/mirror-mismatch", "binding/cross-body"}
	zones      = []string{"bends/collapse", "bends/twist-pinch"} // of bent, those that measure a whole zone
)

const (
	explained = 0.9  // share of an effect's vertices that its cause must reach
	spoilt    = 0.05 // of a zone's
)

// settle works out the findings of all stations from what they filed: what follows
// from another finding says so, is a note, has no remedy of its own and stands behind
// the others of its station. Then those that are one to a person are gathered.
func (r *Result) settle() {
	var all []*check.Finding
	for i := range r.Stations {
		s := &r.Stations[i]
		s.Findings = slices.Clone(s.judged)
	}
	r.blind()
	r.apportion()
	for i := range r.Stations {
		s := &r.Stations[i]
		for j := range s.Findings {
			all = append(all, &s.Findings[j])
		}
	}
	of := map[*check.Finding]*check.Finding{} // effect → cause
	for i := range cascades {
		c := &cascades[i]
		for _, cause := range all {
			if cause.ID != c.cause || cause.Grade < check.Flaw && !posed(cause) {
				continue // what is only worth knowing does no harm elsewhere
			}
			var area *reach
			for _, effect := range all {
				if of[effect] != nil || !slices.Contains(c.effects, effect.ID) {
					continue
				}
				if area == nil {
					area = newReach(r, cause)
				}
				if c.follows(area, effect) {
					of[effect] = cause
				}
			}
		}
	}
	r.sharedBoxes(all, of)
	for effect, root := range of {
		for of[root] != nil {
			root = of[root]
		}
		of[effect] = root
	}
	r.gatherAll(of)
	for i := range r.Stations {
		slices.SortStableFunc(r.Stations[i].Findings, func(a, b check.Finding) int {
			switch {
			case a.Cause == nil && b.Cause != nil:
				return -1
			case a.Cause != nil && b.Cause == nil:
				return 1
			}
			return 0
		})
	}
}

// follow makes a finding one that follows from another.
func follow(f, root *check.Finding) {
	f.Cause = &check.Cause{ID: root.ID, Title: root.Title, Subject: root.Subject}
	f.Grade, f.Remedy = check.Note, ""
	f.Why = fmt.Sprintf("This follows from another finding, %q%s, and lies where that one does. Mend that first, then examine the file again.", root.Title, about(root))
}

func about(f *check.Finding) string {
	if f.Subject == "" {
		return ""
	}
	return " (" + f.Subject + ")"
}

// NumberOf answers the number of the finding that a cause names, 0 when there is none.
func (r *Result) NumberOf(c *check.Cause) int {
	n := 0
	for i := range r.Stations {
		for j := range r.Stations[i].Findings {
			n++
			if f := &r.Stations[i].Findings[j]; f.ID == c.ID && f.Title == c.Title && f.Subject == c.Subject && f.Cause == nil {
				return n
			}
		}
	}
	return 0
}
