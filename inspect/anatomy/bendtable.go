package anatomy

// Where the limits of the bend set come from.
const (
	aaos     = "Joint Motion, American Academy of Orthopaedic Surgeons (1965; Greene & Heckman 1994)"
	shared   = "share of the trunk's range after Joint Motion, American Academy of Orthopaedic Surgeons; the shares are common practice, no source"
	surveyed = "surveys of the range of motion, value from memory"
	rhythm   = "scapulohumeral rhythm, Inman 1944; value from memory"
	opening  = "opening of 35–50 mm at a radius of 95 mm"
	practice = "common practice, no source"
)

// bend is one row of the bend set: a bone turns about an axis from min to max
// degrees, from the T-pose (palms down, thumbs forward, facing +Z). The axis is that
// of the left or the centre; the right takes (a, −b, −c) and the same limits, so
// that partners move as mirror images.
type bend struct {
	bone, axis string
	x, y, z    float64
	min, max   float64
	source     string
}

const half = 0.7071067811865476 // √½

// bends is the bend set. + of flex is toward the flexor side (trunk forward, palm,
// heel to seat, foot and toes up), of spread away from the midline (trunk: to its
// left; wrist and thumb: to the thumb side and out of the palm), of twist inward
// (trunk: to its left). Hips are not bent: they turn the whole figure. The wrist
// does not twist in life, but rigs without a joint for it turn the forearm there.
var bends = []bend{
	{"spine", "flex", 1, 0, 0, -15, 40, shared},
	{"spine", "spread", 0, 0, -1, -20, 20, shared},
	{"spine", "twist", 0, 1, 0, -10, 10, shared},
	{"chest", "flex", 1, 0, 0, -5, 25, shared},
	{"chest", "spread", 0, 0, -1, -10, 10, shared},
	{"chest", "twist", 0, 1, 0, -20, 20, shared},
	{"upperChest", "flex", 1, 0, 0, -5, 15, shared},
	{"upperChest", "spread", 0, 0, -1, -5, 5, shared},
	{"upperChest", "twist", 0, 1, 0, -15, 15, shared},
	{"neck", "flex", 1, 0, 0, -25, 25, shared},
	{"neck", "spread", 0, 0, -1, -35, 35, shared},
	{"neck", "twist", 0, 1, 0, -30, 30, shared},
	{"head", "flex", 1, 0, 0, -20, 20, shared},
	{"head", "spread", 0, 0, -1, -10, 10, shared},
	{"head", "twist", 0, 1, 0, -30, 30, shared},
	{"jaw", "flex", 1, 0, 0, 0, 25, opening},
	{"Eye", "flex", 1, 0, 0, -20, 20, practice},
	{"Eye", "spread", 0, 1, 0, -30, 30, practice},
	{"Shoulder", "flex", 0, -1, 0, -20, 20, surveyed},
	{"Shoulder", "spread", 0, 0, 1, -10, 40, surveyed},
	{"Shoulder", "twist", 1, 0, 0, -40, 10, rhythm},
	{"UpperArm", "flex", 0, -1, 0, -45, 130, surveyed},
	{"UpperArm", "spread", 0, 0, 1, -90, 90, aaos},
	{"UpperArm", "twist", 1, 0, 0, -90, 70, aaos},
	{"LowerArm", "flex", 0, -1, 0, 0, 150, aaos},
	{"LowerArm", "twist", 1, 0, 0, -80, 80, aaos},
	{"Hand", "flex", 0, 0, -1, -70, 80, aaos},
	{"Hand", "spread", 0, -1, 0, -30, 20, aaos},
	{"Hand", "twist", 1, 0, 0, -80, 80, aaos},
	{"IndexProximal", "flex", 0, 0, -1, -45, 90, aaos},
	{"IndexProximal", "spread", 0, -1, 0, -20, 20, practice},
	{"MiddleProximal", "flex", 0, 0, -1, -45, 90, aaos},
	{"MiddleProximal", "spread", 0, -1, 0, -20, 20, practice},
	{"RingProximal", "flex", 0, 0, -1, -45, 90, aaos},
	{"RingProximal", "spread", 0, 1, 0, -20, 20, practice},
	{"LittleProximal", "flex", 0, 0, -1, -45, 90, aaos},
	{"LittleProximal", "spread", 0, 1, 0, -20, 20, practice},
	{"IndexIntermediate", "flex", 0, 0, -1, 0, 100, aaos},
	{"MiddleIntermediate", "flex", 0, 0, -1, 0, 100, aaos},
	{"RingIntermediate", "flex", 0, 0, -1, 0, 100, aaos},
	{"LittleIntermediate", "flex", 0, 0, -1, 0, 100, aaos},
	{"IndexDistal", "flex", 0, 0, -1, 0, 90, aaos},
	{"MiddleDistal", "flex", 0, 0, -1, 0, 90, aaos},
	{"RingDistal", "flex", 0, 0, -1, 0, 90, aaos},
	{"LittleDistal", "flex", 0, 0, -1, 0, 90, aaos},
	{"ThumbMetacarpal", "flex", 0, 1, 0, -20, 15, aaos},
	{"ThumbMetacarpal", "spread", half, 0, -half, 0, 70, aaos},
	{"ThumbProximal", "flex", 0, 1, 0, 0, 50, aaos},
	{"ThumbDistal", "flex", 0, 1, 0, -20, 80, aaos},
	{"UpperLeg", "flex", -1, 0, 0, -30, 120, aaos},
	{"UpperLeg", "spread", 0, 0, 1, -30, 45, aaos},
	{"UpperLeg", "twist", 0, -1, 0, -45, 45, aaos},
	{"LowerLeg", "flex", 1, 0, 0, 0, 135, aaos},
	{"LowerLeg", "twist", 0, -1, 0, -15, 15, practice},
	{"Foot", "flex", -1, 0, 0, -50, 20, aaos},
	{"Foot", "spread", 0, 1, 0, -20, 10, practice},
	{"Foot", "twist", 0, 0, -1, -15, 35, aaos},
	{"Toes", "flex", -1, 0, 0, -45, 70, aaos},
}

// heirs of the trunk: who takes the share of a bone that the rig lacks.
var heirs = map[string][]string{
	"upperChest": {"chest", "spine"},
	"chest":      {"spine"},
	"neck":       {"head"},
}

// Directions of the bones in the T-pose, left. Centre bones and what is not listed
// have none: the axes of the table stand as they are.
var tPose = map[string][3]float64{
	"Shoulder": {1, 0, 0}, "UpperArm": {1, 0, 0}, "LowerArm": {1, 0, 0}, "Hand": {1, 0, 0},
	"UpperLeg": {0, -1, 0}, "LowerLeg": {0, -1, 0}, "Foot": {0, 0, 1}, "Toes": {0, 0, 1},
	"ThumbMetacarpal": {half, 0, half}, "ThumbProximal": {half, 0, half}, "ThumbDistal": {half, 0, half},
	"IndexProximal": {1, 0, 0}, "IndexIntermediate": {1, 0, 0}, "IndexDistal": {1, 0, 0},
	"MiddleProximal": {1, 0, 0}, "MiddleIntermediate": {1, 0, 0}, "MiddleDistal": {1, 0, 0},
	"RingProximal": {1, 0, 0}, "RingIntermediate": {1, 0, 0}, "RingDistal": {1, 0, 0},
	"LittleProximal": {1, 0, 0}, "LittleIntermediate": {1, 0, 0}, "LittleDistal": {1, 0, 0},
}
