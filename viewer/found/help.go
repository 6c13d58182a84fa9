package found

import (
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// inkHelp adds what shows the size of a finding about joints: the way from a joint to
// where it should be, hang, or was. Of one finding, the first 200 joints.
func inkHelp(r *inspect.Result, o *scene.Overlay, f *check.Finding) {
	facts := inspect.FactsOf[skeleton.Facts](r)
	if facts == nil {
		return
	}
	joints := f.Where.Joints[:min(len(f.Where.Joints), 200)]
	switch f.ID {
	case "skeleton/uneven-pair":
		for i := range facts.Pairs {
			p := &facts.Pairs[i]
			if p.Image != nil && slices.Contains(joints, p.Right) {
				inkWay(r, o, p.Right, *p.Image)
			}
		}
	case "skeleton/loose-chain":
		for i := range facts.Loose {
			if l := &facts.Loose[i]; l.HangOn >= 0 && slices.Contains(joints, l.Root) {
				o.Lines = append(o.Lines, scene.Line{Within: true, Frame: true, Path: []scene.Anchor{scene.OnNode(l.Root), scene.OnNode(l.HangOn)}})
			}
		}
	case "skeleton/bind-odd":
		for i := range facts.Joints {
			if j := &facts.Joints[i]; j.Bound != nil && slices.Contains(joints, j.Node) {
				inkWay(r, o, j.Node, *j.Bound)
			}
		}
		if len(joints) == 0 && f.Where.Skin >= 0 {
			o.Lines = append(o.Lines, storedBox(r, f.Where.Skin)...)
		}
	}
}

// inkWay draws a line from a joint to a place of the rest pose and crosses the place;
// nothing where they are one. The joint carries both.
func inkWay(r *inspect.Result, o *scene.Overlay, n rig.Node, to space.Vec) {
	world := &r.Exam.RestWorld()[n]
	if world.Origin().Sub(to).Len() < 1e-4*r.Exam.Diagonal() {
		return
	}
	at := scene.InWorld(to)
	if back, ok := world.Inverse(); ok {
		at = scene.BesideNode(n, back.Point(to))
	}
	o.Lines = append(o.Lines, scene.Line{Within: true, Path: []scene.Anchor{scene.OnNode(n), at}})
	o.Spots = append(o.Spots, scene.Spots{Mark: marks.Cross, Place: []scene.Anchor{at}})
}

// storedBox is the box of a skin's surfaces as they are stored: where it was bound.
func storedBox(r *inspect.Result, skin rig.Skin) (lines []scene.Line) {
	box := geom.EmptyBox()
	for _, s := range r.Exam.Shown() {
		if sf := &r.Exam.Rig.Surfaces[s]; sf.Skin == skin {
			box = box.Union(geom.BoxOf(r.Exam.Rig.Meshes[sf.Mesh].Positions))
		}
	}
	if box.IsEmpty() {
		return nil
	}
	corner := func(i int) scene.Anchor {
		p := box.Min
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = box.Max[k]
			}
		}
		return scene.InWorld(p)
	}
	for _, path := range [][]int{{0, 1, 3, 2}, {4, 5, 7, 6}} {
		l := scene.Line{Closed: true, Frame: true}
		for _, i := range path {
			l.Path = append(l.Path, corner(i))
		}
		lines = append(lines, l)
	}
	for i := range 4 {
		lines = append(lines, scene.Line{Frame: true, Path: []scene.Anchor{corner(i), corner(i + 4)}})
	}
	return lines
}
