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

// bends is the bend set. + of flexion is toward the flexor side (trunk forward, palm,
// heel to seat, foot and toes up), of abduction away from the midline (trunk: to its
// left; wrist and thumb: to the thumb side and out of the palm), of rotation inward
// (trunk: to its left). Hips are not bent: they turn the whole figure. The wrist
// does not twist in life, but rigs without a joint for it turn the forearm there.
var bends = []bend{
	{"spine", "flexion", 1, 0, 0, -15, 40, shared},
	{"spine", "abduction", 0, 0, -1, -20, 20, shared},
	{"spine", "rotation", 0, 1, 0, -10, 10, shared},
	{"chest", "flexion", 1, 0, 0, -5, 25, shared},
	{"chest", "abduction", 0, 0, -1, -10, 10, shared},
	{"chest", "rotation", 0, 1, 0, -20, 20, shared},
	{"upperChest", "flexion", 1, 0, 0, -5, 15, shared},
	{"upperChest", "abduction", 0, 0, -1, -5, 5, shared},
	{"upperChest", "rotation", 0, 1, 0, -15, 15, shared},
	{"neck", "flexion", 1, 0, 0, -25, 25, shared},
	{"neck", "abduction", 0, 0, -1, -35, 35, shared},
	{"neck", "rotation", 0, 1, 0, -30, 30, shared},
	{"head", "flexion", 1, 0, 0, -20, 20, shared},
	{"head", "abduction", 0, 0, -1, -10, 10, shared},
	{"head", "rotation", 0, 1, 0, -30, 30, shared},
	{"jaw", "flexion", 1, 0, 0, 0, 25, opening},
	{"Eye", "flexion", 1, 0, 0, -20, 20, practice},
	{"Eye", "abduction", 0, 1, 0, -30, 30, practice},
	{"Shoulder", "flexion", 0, -1, 0, -20, 20, surveyed},
	{"Shoulder", "abduction", 0, 0, 1, -10, 40, surveyed},
	{"Shoulder", "rotation", 1, 0, 0, -40, 10, rhythm},
	{"UpperArm", "flexion", 0, -1, 0, -45, 130, surveyed},
	{"UpperArm", "abduction", 0, 0, 1, -90, 90, aaos},
	{"UpperArm", "rotation", 1, 0, 0, -90, 70, aaos},
	{"LowerArm", "flexion", 0, -1, 0, 0, 150, aaos},
	{"LowerArm", "rotation", 1, 0, 0, -80, 80, aaos},
	{"Hand", "flexion", 0, 0, -1, -70, 80, aaos},
	{"Hand", "abduction", 0, -1, 0, -30, 20, aaos},
	{"Hand", "rotation", 1, 0, 0, -80, 80, aaos},
	{"IndexProximal", "flexion", 0, 0, -1, -45, 90, aaos},
	{"IndexProximal", "abduction", 0, -1, 0, -20, 20, practice},
	{"MiddleProximal", "flexion", 0, 0, -1, -45, 90, aaos},
	{"MiddleProximal", "abduction", 0, -1, 0, -20, 20, practice},
	{"RingProximal", "flexion", 0, 0, -1, -45, 90, aaos},
	{"RingProximal", "abduction", 0, 1, 0, -20, 20, practice},
	{"LittleProximal", "flexion", 0, 0, -1, -45, 90, aaos},
	{"LittleProximal", "abduction", 0, 1, 0, -20, 20, practice},
	{"IndexIntermediate", "flexion", 0, 0, -1, 0, 100, aaos},
	{"MiddleIntermediate", "flexion", 0, 0, -1, 0, 100, aaos},
	{"RingIntermediate", "flexion", 0, 0, -1, 0, 100, aaos},
	{"LittleIntermediate", "flexion", 0, 0, -1, 0, 100, aaos},
	{"IndexDistal", "flexion", 0, 0, -1, 0, 90, aaos},
	{"MiddleDistal", "flexion", 0, 0, -1, 0, 90, aaos},
	{"RingDistal", "flexion", 0, 0, -1, 0, 90, aaos},
	{"LittleDistal", "flexion", 0, 0, -1, 0, 90, aaos},
	{"ThumbMetacarpal", "flexion", 0, 1, 0, -20, 15, aaos},
	{"ThumbMetacarpal", "abduction", half, 0, -half, 0, 70, aaos},
	{"ThumbProximal", "flexion", 0, 1, 0, 0, 50, aaos},
	{"ThumbDistal", "flexion", 0, 1, 0, -20, 80, aaos},
	{"UpperLeg", "flexion", -1, 0, 0, -30, 120, aaos},
	{"UpperLeg", "abduction", 0, 0, 1, -30, 45, aaos},
	{"UpperLeg", "rotation", 0, -1, 0, -45, 45, aaos},
	{"LowerLeg", "flexion", 1, 0, 0, 0, 135, aaos},
	{"LowerLeg", "rotation", 0, -1, 0, -15, 15, practice},
	{"Foot", "flexion", -1, 0, 0, -50, 20, aaos},
	{"Foot", "abduction", 0, 1, 0, -20, 10, practice},
	{"Foot", "rotation", 0, 0, -1, -15, 35, aaos},
	{"Toes", "flexion", -1, 0, 0, -45, 70, aaos},
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
