package skeleton

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// The determinant of a bind matrix is taken relative to the cube of its scale: a skin in
// millimetres has 1e-9 and is sound.
var bindOdd = check.Check[Facts]{
	ID:      "skeleton/bind-odd",
	Title:   "Joint bound elsewhere",
	Measure: "world rest of each joint × its inverse bind matrix, against what most of the weight agrees on: turn in degrees, shift of the vertices that the joint dominates (95th percentile) ÷ diagonal, scale, shear (largest cosine between directions that were square); share of the joints that are off",
	Limits: []check.Limit{
		{Name: "turn", Unit: say.Degree, Value: driftDegrees, Grade: check.Flaw},
		{Name: "shift", Unit: say.TimesDiagonal, Value: driftShare, Grade: check.Flaw},
		{Name: "scale", Unit: say.Share, Value: 0.01, Grade: check.Flaw},
		{Name: "shear", Value: 1e-3, Grade: check.Flaw},
		{Name: "few", Unit: say.ShareOfJoints, Value: 0.1, Grade: check.Note, Reached: true},
		{Name: "most", Unit: say.ShareOfJoints, Value: 0.5, Grade: check.Note, Reached: true},
		{Name: "row", Value: 0, Grade: check.Stop},
		{Name: "determinant", Value: flattest, Grade: check.Stop, Below: true},
		{Name: "common turn", Unit: say.Degree, Value: 0.5, Grade: check.Note},
		{Name: "common scale", Unit: say.Share, Value: 1e-3, Grade: check.Note},
		{Name: "common shift", Unit: say.TimesDiagonal, Value: 1e-3, Grade: check.Note},
	},
	Why: "The inverse bind matrix says where the joint stood when the surface was bound to it. " +
		"When it stands elsewhere in the rest pose, its part of the surface is torn away before anything moves.",
	Remedy: "Put the joint back to where it was bound, or bind it anew where it stands and renew its inverse bind matrix.\n" +
		"After moving joints of a bound skeleton, write the file again from the pose the skin was bound in.",
	Source: "glTF 2.0, Skins; the limits are common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if slices.ContainsFunc(f.Binds, func(b SkinBind) bool { return b.Told || len(b.Bad) > 0 }) {
			return ""
		}
		for i := range f.Binds {
			if f.Binds[i].Apart {
				return "the surface is kept joint by joint, each part in the space of its joint: where it was bound is not in the file"
			}
		}
		return "no bind matrix tells where its joint stood"
	},
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.Binds {
			f.judgeBad(d, &f.Binds[i])
		}
		for i := range f.Binds {
			if f.Binds[i].Told {
				f.judgeResidual(d, &f.Binds[i])
			}
		}
		f.judgeShared(d)
		for i := range f.CommonBind {
			if c := &f.CommonBind[i]; !f.lostWhole(c.Skin) {
				f.judgeCommon(d, c)
			}
		}
	},
}

// lostWhole tells that no matrix of a skin is left to say where it was bound.
func (f *Facts) lostWhole(s rig.Skin) bool {
	return slices.ContainsFunc(f.BindWrong, func(w BindWrong) bool {
		return w.Skin == s && len(w.Joints) == w.Of && (w.What == bindMissing || w.What == bindIdentity)
	})
}

// judgeBad files the matrices that no program can use.
func (f *Facts) judgeBad(d *check.Docket, b *SkinBind) {
	var rows, flat []rig.Node
	row, det := d.Limit("row"), d.Limit("determinant")
	worst, least := 0.0, math.Inf(1)
	for _, x := range b.Bad {
		if x.Row {
			if x.Value > row.Value || x.Value == 0 {
				rows, worst = append(rows, x.Node), max(worst, x.Value)
			}
		} else if x.Value < det.Value {
			flat, least = append(flat, x.Node), min(least, x.Value)
		}
	}
	if len(rows) > 0 {
		found := d.Found(row, "last row off 0 0 0 1 by", worst, f.onSkin(b.Skin, rows))
		found.Title, found.Subject = "Bind matrix row wrong", f.names(rows)
		found.Why = "The last row of an inverse bind matrix is 0 0 0 1. With another one, players disagree on where the surface stands, or refuse it."
	}
	if len(flat) > 0 {
		found := d.Found(det, "determinant ÷ largest scale³", least, f.onSkin(b.Skin, flat))
		found.Title, found.Subject = "Flat bind matrix", f.names(flat)
		found.Why = "This inverse bind matrix presses its part of the surface flat: nothing says any more where the joint was bound."
	}
}

// badRow is what a badBind of the fourth row says.
const badRow = "last row off 0 0 0 1"

// onSkin makes a place of joints of one skin.
func (f *Facts) onSkin(s rig.Skin, joints []rig.Node) check.Where {
	w := f.on(joints...)
	w.Skin = s
	return w
}

// aroundSkin fills in where the surfaces of a skin rest.
func (f *Facts) aroundSkin(w *check.Where) {
	for i := range f.Binds {
		if b := &f.Binds[i]; b.Skin == w.Skin {
			w.Nodes = append(w.Nodes, b.Nodes...)
			w.Point, w.Extent = b.Middle, b.Extent
		}
	}
}

// judgeResidual grades a skin by how many of its joints are off.
func (f *Facts) judgeResidual(d *check.Docket, b *SkinBind) {
	turnL, shiftL, scaleL, shearL := d.Limit("turn"), d.Limit("shift"), d.Limit("scale"), d.Limit("shear")
	few, most := d.Limit("few"), d.Limit("most")
	var off, warped []rig.Node
	var worst, warp Residual
	var worstScore, warpScore float64
	influenced, scaled := b.Influenced, 0
	for k := range b.Residuals {
		r := &b.Residuals[k]
		if r.Degrees > turnL.Value || r.Shift > shiftL.Value*b.Size {
			off = append(off, r.Node)
			if s := max(r.Degrees/turnL.Value, r.Shift/(shiftL.Value*b.Size)); s > worstScore {
				worstScore, worst = s, *r
			}
		}
		odd := math.Abs(r.Ratio-1) > scaleL.Value
		if odd {
			scaled++
		}
		if odd || r.Shear > shearL.Value {
			warped = append(warped, r.Node)
			if s := max(math.Abs(r.Ratio-1)/scaleL.Value, r.Shear/shearL.Value); s > warpScore {
				warpScore, warp = s, *r
			}
		}
	}
	if influenced == 0 {
		return
	}
	share := float64(len(off)) / float64(influenced)
	add := func(found *check.Finding) {
		found.Subject = f.names(off)
		found.Measures = append(found.Measures, check.Also("largest turn", worst.Degrees, say.Degree), check.Also("its shift", worst.Shift, say.Metre),
			check.Also("joints off", float64(len(off)), say.Joints), check.Also("joints with influence", float64(influenced), say.Joints))
	}
	switch {
	case len(off) == 0:
	case share > most.Value:
		found := d.Found(most, "joints off", share, f.onSkin(b.Skin, off))
		add(found)
		found.Title = "Opens already posed"
		found.Why = "The rest pose is not the pose the skin was bound in. That is allowed, and the surface follows; " +
			"but programs that take the rest pose for the bind pose show it bent."
		found.Remedy = "To have the bind pose at rest, set every joint to where it was bound and write the file again."
		f.sayPose(found, b.Skin)
	case share >= few.Value:
		found := d.Found(few, "joints off", share, f.onSkin(b.Skin, off))
		add(found)
		found.Title = "Opens partly posed"
		found.Why = "Some joints rest elsewhere than where they were bound. When that is a pose, it is allowed; " +
			"when joints were moved after binding, the surface at them is torn."
		f.sayPose(found, b.Skin)
	default:
		limit, name, value := turnL, "turn", worst.Degrees
		if worst.Degrees <= turnL.Value {
			limit, name, value = shiftL, "shift", worst.Shift/b.Size
		}
		found := d.Found(limit, name, value, f.onSkin(b.Skin, off))
		add(found)
	}
	// A scale that all joints but the medoid's few have is the pose's, not one joint's.
	if len(warped) > 0 && (scaled < influenced || warp.Shear > shearL.Value) {
		limit, name, value := scaleL, "scale off by", math.Abs(warp.Ratio-1)
		if value <= scaleL.Value {
			limit, name, value = shearL, "shear", warp.Shear
		}
		found := d.Found(limit, name, value, f.onSkin(b.Skin, warped))
		found.Title = "Bound at another size"
		found.Subject = f.names(warped)
		found.Why = "Some joints of this skin rest at another size than they were bound at, or aslant. Their part of the surface is swollen, shrunk or skewed at rest."
		found.Measures = append(found.Measures, check.Also("scale", warp.Ratio, say.Factor), check.Also("shear", warp.Shear, say.Unit{}), check.Also("joints", float64(len(warped)), say.Joints))
	}
}

// sayPose names the clip that the rest pose is taken from.
func (f *Facts) sayPose(found *check.Finding, s rig.Skin) {
	for i := range f.CommonBind {
		c := &f.CommonBind[i]
		if c.Skin != s || c.Pose == nil {
			continue
		}
		name := string(c.Pose.Name)
		if name == "" {
			name = fmt.Sprintf("clip %d", c.Pose.Clip)
		} else {
			name = fmt.Sprintf("clip %q", name)
		}
		found.Why += fmt.Sprintf(" It is the pose of %s at %s.", name, say.Quantity(c.Pose.Seconds, say.Second))
		found.Where.Clip, found.Where.Time = c.Pose.Clip, c.Pose.Seconds
	}
}

// judgeShared files joints that two skins bind differently.
func (f *Facts) judgeShared(d *check.Docket) {
	if len(f.Shared) == 0 {
		return
	}
	turnL, shiftL := d.Limit("turn"), d.Limit("shift")
	var joints []rig.Node
	var worst *SharedJoint
	for i := range f.Shared {
		s := &f.Shared[i]
		if s.Degrees <= turnL.Value && s.Shift <= shiftL.Value*f.Diagonal {
			continue
		}
		joints = append(joints, s.Node)
		if worst == nil || s.Shift+s.Degrees*f.Diagonal/100 > worst.Shift+worst.Degrees*f.Diagonal/100 {
			worst = s
		}
	}
	if worst == nil {
		return
	}
	limit, name, value := turnL, "turn", worst.Degrees
	if value <= turnL.Value {
		limit, name, value = shiftL, "shift", worst.Shift/f.Diagonal
	}
	found := d.Found(limit, name, value, f.onSkin(worst.B, joints))
	found.Title = "Skins bind joint differently"
	found.Subject = fmt.Sprintf("%s, in skins %d and %d", f.names(joints), worst.A, worst.B)
	found.Why = "Both skins follow this joint, but were bound to it in different places. Their surfaces part at rest, or as soon as it moves."
	found.Measures = append(found.Measures, check.Also("shift of the joint", worst.Shift, say.Metre), check.Also("joints", float64(len(joints)), say.Joints))
}

// judgeCommon files a common part that is not nothing.
func (f *Facts) judgeCommon(d *check.Docket, c *CommonBind) {
	turnL, scaleL, shiftL := d.Limit("common turn"), d.Limit("common scale"), d.Limit("common shift")
	shift := space.Vec(c.Shift).Len()
	limit, name, value := turnL, "turn", c.Turn
	switch {
	case c.Turn > turnL.Value:
	case math.Abs(c.Scale-1) > scaleL.Value:
		limit, name, value = scaleL, "scale off by", math.Abs(c.Scale-1)
	case shift > shiftL.Value*f.Diagonal && f.Diagonal > 0:
		limit, name, value = shiftL, "shift", shift/f.Diagonal
	default:
		return
	}
	w := check.Nowhere()
	w.Skin = c.Skin
	f.aroundSkin(&w)
	found := d.Found(limit, name, value, w)
	found.Title = "Bound in another place"
	found.Subject = fmt.Sprintf("skin %d: %s", c.Skin, c.says())
	found.Why = "All joints of this skin agree, but the whole was bound turned, moved or at another size than it rests. " +
		"That is allowed and looks right; players that take the surface as stored, or its box, trip over it."
	found.Remedy = "Nothing is to be done where it shows as it should.\n" +
		"To have both alike, apply turn, scale and place of the figure before binding, and write the file again."
	found.Source = "glTF 2.0, Skins"
	found.Measures = append(found.Measures, check.Also("turned by", c.Turn, say.Degree), check.Also("times the size", c.Scale, say.Unit{}), check.Also("origin at", shift, say.Metre))
}
