package inspect

import "rigloupe/inspect/skeleton"

// jointFact is one joint as the page lists it, whichever stations ran; the station
// Skeleton adds its measures to the same entries.
type jointFact = skeleton.Place

// joints lists every joint of every skin once, in node order.
func (r *Result) joints() []jointFact { return skeleton.Places(r.Exam) }
