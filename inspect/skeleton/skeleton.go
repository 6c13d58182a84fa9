// Package skeleton is the station that looks at the joints: what each of them is,
// whether it stands where it should, and whether the skin was bound to it there.
package skeleton

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Station is the skeleton's row of the catalogue.
var Station = check.NewStation("skeleton", "Skeleton", Measure, []check.Check[Facts]{
	rolesMissing,
	sideLabel,
	loneSide,
	unevenPair,
	offCentre,
	restPose,
	bindLost,
	bindMixedUp,
	bindOdd,
	proportions,
	looseChain,
	roleUnheld,
	zeroLength,
	nameClash,
	fragileName,
	axes,
	roleOrder,
	scaledJoint,
})

// Facts are what the station measured. Metres, degrees, world space, rest pose.
type Facts struct {
	Joints      []Joint      `json:"-"` // end sites among them
	Listed      []Joint      `json:"joints"`
	EndSites    int          `json:"end_sites"` // BVH: ends of the last bones, no joints of the file
	Roots       []rig.Node   `json:"roots"`     // joints with no joint above
	ArmPose     ArmPose      `json:"arm_pose"`
	Limbs       []Limb       `json:"limbs"` // elbows, knees, feet and palms, left before right
	Missing     []string     `json:"required_roles_missing"`
	CommonBind  []CommonBind `json:"common_bind"`
	BindWrong   []BindWrong  `json:"bind_wrong"` // matrices that are lost, or another joint's
	Pairs       []Pair       `json:"pairs"`
	Stature     Stature      `json:"stature"`
	Proportions []Segment    `json:"proportions"`
	Loose       []Loose      `json:"loose_chains"`
	Unheld      []rig.Node   `json:"roles_unheld"` // joints of limbs, fingers, toes and head that hold no vertex, and what limbs hang on where a clip turns it
	UnheldStill []rig.Node   `json:"still_unheld"` // what limbs hang on where no clip turns it, and ends of chains
	Names       []NameFact   `json:"names"`        // those that other players would change, and those that clash
	Axes        AxesFact     `json:"axes"`
	Says        string       `json:"says"` // what this skeleton is, in words; "" without joints
	Kind        KindFact     `json:"kind"`
	Figure      bool         `json:"figure"` // a human-like figure: at least eight body roles, hips among them

	Bones     map[string]rig.Node `json:"bones"`                  // role → joint
	Ends      []Joint             `json:"end_joints" wire:"null"` // the end sites
	Diagonal  float64             `json:"diagonal_m"`             // of the figure, else of its joints
	Height    float64             `json:"height_m"`               // of the body, else of its joints
	Lean      float64             `json:"lean_degrees"`           // how far the figure's left points above level
	SidesTold bool                `json:"sides_told"`             // left and right are known
	Sided     Sided               `json:"sided_names"`            //
	WrongSide []WrongSide         `json:"wrong_side" wire:"null"` // beyond the middle
	Unpaired  []rig.Node          `json:"unpaired" wire:"null"`   // of one side, without a partner on the other
	Binds     []SkinBind          `json:"binds"`                  // skin by skin
	Shared    []SharedJoint       `json:"shared_joints" wire:"null"`
	Coincide  []Gap               `json:"coincide" wire:"null"` // joints less than a tenth of the diagonal from their parent
	Scaled    []Scaled            `json:"scaled" wire:"null"`
	Declares  bool                `json:"declares_bones"` // the file says which node is which bone (VRM humanoid)
	Breaches  []Breach            `json:"breaches" wire:"null"`
	Sections  []Section           `json:"sections" wire:"null"` // around the joints that were measured
	NoRoom    string              `json:"no_section"`           // why none could be measured
	NoNames   []rig.Node          `json:"nameless" wire:"null"`

	place map[rig.Node]int // node → place in Joints
	works
}

// works are what measuring needs and no check does.
type works struct {
	e        *exam.Exam
	roles    *anatomy.Roles
	middle   middle
	binds    []skinBind
	between  map[rig.Node]rig.Node    // joint with a role → the one between it and its parent role
	betweens map[rig.Node][2]rig.Node // that one → the two it stands between, the upper first
	angles   int                      // solid angles added up so far
	near     []nearSlice              // scratch of nearestFirst
	cuts     int                      // surfaces cut for sections
	from, to []int32                  // of the nodes, see rig.Rig.Spans; nil until asked
}

// Sided counts joints by the side that they are on, and by the one that their names say.
type Sided struct {
	Left  int `json:"left"`
	Right int `json:"right"`
	Named int `json:"named"` // either, by the name alone
}

// UnmarshalJSON reads saved facts: joints and ends of bones are one list again, by node.
func (f *Facts) UnmarshalJSON(text []byte) error {
	type plain Facts
	if err := json.Unmarshal(text, (*plain)(f)); err != nil {
		return err
	}
	for i := range f.Ends {
		f.Ends[i].EndSite = true
	}
	f.Joints = append(slices.Clone(f.Listed), f.Ends...)
	slices.SortFunc(f.Joints, func(a, b Joint) int { return cmp.Compare(a.Node, b.Node) })
	f.place = make(map[rig.Node]int, len(f.Joints))
	for i := range f.Joints {
		f.place[f.Joints[i].Node] = i
	}
	return nil
}

// Joint is one joint with its measures.
type Joint struct {
	Place
	Length    *float64 `json:"length"`             // to the joint its bone ends at, nil at an end
	Drift     *float64 `json:"bind_drift_m"`       // residual after the skin's common part; nil: no bind to tell by
	DriftTurn *float64 `json:"bind_drift_degrees"` // likewise
	Axis      *string  `json:"axis"`               // "+x" … "-z", the own axis nearest to the bone; nil at ends
	AxisOff   *float64 `json:"axis_off_degrees"`
	Folded    rig.Name `json:"folded_name"`
	OffCentre *float64 `json:"off_centre"`       // distance from the middle of the section, ÷ its radius; nil: not measured
	Radius    *float64 `json:"section_radius_m"` // of the circle as large as the section; nil likewise
	Outside   bool     `json:"outside"`          // of the surface
	Influence float64  `json:"weight_sum"`       // over all surfaces of its skins
	Towards   rig.Node `json:"bone_ends_at"`     // −1 at an end
	// Bound is where it stood when its skin was bound, carried to where the skin rests
	// by the common part, for drawing; nil: nothing tells.
	Bound     *space.Vec `json:"-"`
	mainChild rig.Node
	Placed    bool    `json:"placed"` // its place is finite
	below     float64 // weight of itself and of all below
	branches  int     // children that have a bone and carry a surface
}

// KindFact is what sort of figure this is; see anatomy.Kind.
type KindFact struct {
	Kind      string  `json:"kind"`      // none, person, four-legged, winged, many-legged, chain, hand
	Certainty float64 `json:"certainty"` // 0…1
	Evidence  string  `json:"evidence"`  // in words
	Words     string  `json:"words"`
	Beast     bool    `json:"beast"`
}

// Measure works out the facts.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	k := e.Roles()
	kind := KindFact{k.Kind.String(), k.Certainty, k.KindEvidence, k.Kind.Words(), k.Kind.IsBeast()}
	f := &Facts{Kind: kind, Bones: map[string]rig.Node{}, Diagonal: e.Diagonal(), Declares: len(e.Rig.Humanoid.Bones) > 0, place: map[rig.Node]int{}, works: works{e: e, roles: k}}
	maps.Copy(f.Bones, k.Bone)
	steps := []func(context.Context) error{
		f.measureJoints, f.measureWeights, f.measureBind, f.measureMiddle, f.measurePairs, f.measurePose,
		f.measureProportions, f.measureLoose, f.measureUnheld, f.measureNames, f.measureAxes,
		f.measureDeclared, f.measureScales, f.measureSections,
	}
	for i, step := range steps {
		if err := e.Tick(ctx, i, len(steps)); err != nil {
			return nil, err
		}
		if err := step(ctx); err != nil {
			return nil, err
		}
	}
	f.Listed = []Joint{}
	for i := range f.Joints {
		if f.Joints[i].EndSite {
			f.EndSites++
			f.Ends = append(f.Ends, f.Joints[i])
		} else {
			f.Listed = append(f.Listed, f.Joints[i])
		}
	}
	f.Binds = f.told()
	f.Says = f.says()
	return f, nil
}

// says tells what the skeleton is: how much of a body is in it, and how its arms rest.
func (f *Facts) says() string {
	if len(f.Joints) == 0 {
		return ""
	}
	if figures := f.e.Figures(); figures != nil {
		var said []string
		for i := range figures {
			if own := figures[i].Exam; own != nil {
				said = append(said, fmt.Sprintf("%s is %s", figures[i].Name, own.Roles().Kind.Words()))
			}
		}
		return fmt.Sprintf("%s, %s in all: %s. Each is examined by itself.", say.Count(len(figures), "figure", "figures"), say.Count(len(f.Listed), "joint", "joints"), exam.Listed(said))
	}
	roles := 0
	for i := range f.Joints {
		if f.Joints[i].Role != nil {
			roles++
		}
	}
	text := say.Count(len(f.Listed), "joint", "joints")
	if f.Kind.Beast || f.Kind.Kind == "hand" {
		return fmt.Sprintf("%s%s (%s sure): %s. %s.", strings.ToUpper(f.Kind.Words[:1]), f.Kind.Words[1:], say.Sure(f.Kind.Certainty), f.Kind.Evidence, text)
	}
	switch {
	case roles == 0:
		text += ", none of a human body."
	case !f.Figure:
		text += fmt.Sprintf(", %d of a human body: not a whole figure.", roles)
	case len(f.Missing) == 0:
		text += fmt.Sprintf(", %d of a human body, all that are required among them.", roles)
	default:
		text += fmt.Sprintf(", %d of a human body; missing: %s.", roles, strings.Join(wordsOf(f.Missing), ", "))
	}
	if f.ArmPose.Says != "" {
		text += " " + f.ArmPose.Says
	}
	return text
}

// at answers the entry of a joint, nil for nodes that are none.
func (f *Facts) at(n rig.Node) *Joint {
	if i, ok := f.place[n]; ok {
		return &f.Joints[i]
	}
	return nil
}

// needsJoints is why a check of joints cannot run.
func needsJoints(f *Facts) string {
	if len(f.Joints) == 0 {
		return "no skin in this file, and no joint that a clip moves"
	}
	return ""
}

// needsFigure is why a check of a body cannot run.
func needsFigure(f *Facts) string {
	if reason := needsJoints(f); reason != "" {
		return reason
	}
	if !f.Figure {
		if f.Kind.Beast || f.Kind.Kind == "hand" {
			return "this is " + f.Kind.Words + ", and the rule holds for people"
		}
		return "no human-like figure was recognised: fewer than eight roles of a body, or no hips"
	}
	return ""
}
