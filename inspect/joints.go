package inspect

import (
	"slices"

	"rigloupe/inspect/skeleton"
)

// jointFact is one joint as the page lists it, whichever stations ran; the station
// Skeleton adds its measures to the same entries.
type jointFact = skeleton.Place

// joints lists every joint of every skin once, in node order; end sites of a BVH are
// none.
func (r *Result) joints() []jointFact {
	return slices.DeleteFunc(skeleton.Places(r.Exam), func(p jointFact) bool { return p.EndSite })
}
