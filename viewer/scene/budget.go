package scene

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
)

// ForStage is the rig as the program that draws needs it: without the encoded pictures
// (they come decoded, see Texture) and without morph targets that nothing moves or that
// are too many. Everything else is shared.
func ForStage(r *rig.Rig) *rig.Rig {
	out := *r
	out.Images = slices.Clone(r.Images)
	for i := range out.Images {
		out.Images[i].Data = nil
	}
	moved := movedTargets(r)
	out.Meshes = slices.Clone(r.Meshes)
	for m := range out.Meshes {
		to := &out.Meshes[m]
		to.Targets = slices.Clone(to.Targets)
		for t := range to.Targets {
			if !moved[shift{m, t}] {
				to.Targets[t] = rig.Target{Name: to.Targets[t].Name}
			}
		}
	}
	return &out
}

// LeftOut says what of a rig no picture shows, a sentence each.
func LeftOut(r *rig.Rig) (out []string) {
	if all := len(everyDrawn(r)); all > ceiling.Surfaces {
		out = append(out, fmt.Sprintf("The picture shows %s of %s surfaces, the largest.", grouped(ceiling.Surfaces), grouped(all)))
	}
	targets, kept := len(wantedTargets(r)), len(movedTargets(r))
	if kept < targets {
		out = append(out, fmt.Sprintf("The picture moves %s of %s morph targets.", grouped(kept), grouped(targets)))
	}
	if images, pixels := imagesShown(r); len(images) > 0 {
		shown := len(Pictures(r))
		if shown < len(images) {
			out = append(out, fmt.Sprintf("%s of %s pictures are painted: together they have %s million pixels.", grouped(shown), grouped(len(images)), grouped(pixels/1e6)))
		}
	}
	return out
}

// grouped writes a number with its thousands apart.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// shift is one morph target of one mesh.
type shift struct{ mesh, target int }

// wantedTargets lists the targets with a weight at rest or in a clip, in file order.
func wantedTargets(r *rig.Rig) (out []shift) {
	keyed := make([]bool, len(r.Nodes))
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			if c := &r.Clips[i].Channels[k]; c.Path == rig.Weights && c.Node >= 0 && int(c.Node) < len(keyed) && slices.ContainsFunc(c.Values, func(v float32) bool { return v != 0 }) {
				keyed[c.Node] = true
			}
		}
	}
	wanted := map[shift]bool{}
	for _, s := range r.Surfaces {
		if s.Mesh < 0 || int(s.Mesh) >= len(r.Meshes) {
			continue
		}
		m := &r.Meshes[s.Mesh]
		weights := r.Nodes[s.Node].Weights
		if weights == nil {
			weights = m.Morph
		}
		for t := range m.Targets {
			if keyed[s.Node] || t < len(weights) && weights[t] != 0 {
				wanted[shift{int(s.Mesh), t}] = true
			}
		}
	}
	for k := range wanted {
		out = append(out, k)
	}
	slices.SortFunc(out, func(a, b shift) int { return cmp.Or(cmp.Compare(a.mesh, b.mesh), cmp.Compare(a.target, b.target)) })
	return out
}

// movedTargets are those of them that there is room for.
func movedTargets(r *rig.Rig) map[shift]bool {
	out, sum := map[shift]bool{}, 0
	for _, k := range wantedTargets(r) {
		t := &r.Meshes[k.mesh].Targets[k.target]
		if sum += len(t.Positions) + len(t.Normals); sum > ceiling.Shifts {
			break
		}
		out[k] = true
	}
	return out
}

// Pictures lists the images that are painted, in the order of the materials, as far as
// the budget goes.
func Pictures(r *rig.Rig) (out []int) {
	images, _ := imagesShown(r)
	sum := 0
	for _, i := range images {
		m := &r.Images[i]
		if sum += m.Width * m.Height; sum > ceiling.Painted {
			break
		}
		out = append(out, i)
	}
	return out
}

// imagesShown lists the images that materials show and that are there, and their pixels.
func imagesShown(r *rig.Rig) (images []int, pixels int) {
	for i := range r.Materials {
		k := r.Materials[i].Image
		if k >= 0 && k < len(r.Images) && len(r.Images[k].Data) > 0 && !slices.Contains(images, k) {
			images = append(images, k)
			pixels += r.Images[k].Width * r.Images[k].Height
		}
	}
	return images, pixels
}

// largest leaves the largest surfaces, in their own order, where there are more than a
// picture takes.
func largest(r *rig.Rig, all []int) []int {
	if len(all) <= ceiling.Surfaces {
		return all
	}
	size := func(s int) int {
		n := len(r.Meshes[r.Surfaces[s].Mesh].Triangles)
		if r.Surfaces[s].Skin >= 0 {
			n += 1 << 40 // what is skinned comes first
		}
		return n
	}
	kept := slices.Clone(all)
	slices.SortStableFunc(kept, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	kept = kept[:ceiling.Surfaces]
	slices.Sort(kept)
	return kept
}
