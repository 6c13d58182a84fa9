package rest

import (
	"slices"

	"rigloupe/inspect/rig"
)

// AsStored answers the rig with some joints bound where they rest: their inverse bind
// matrices become what the other joints of the skin agree on, so that what hangs on them is
// seen where its places are stored. Places, weights and joints stay. A joint that stands in
// several skins is bound anew in all. Refused errors are for a person.
func AsStored(r *rig.Rig, joints []rig.Node) (*rig.Rig, error) {
	out := *r
	out.Skins = slices.Clone(r.Skins)
	world := r.RestWorld()
	for s := range r.Skins {
		skin := &r.Skins[s]
		if !slices.ContainsFunc(skin.Joints, func(n rig.Node) bool { return slices.Contains(joints, n) }) {
			continue
		}
		g, ok := common(r, world, rig.Skin(s))
		if !ok {
			return nil, refuse("No joint of the skin %q has a size: nothing tells where it was bound.", skin.Name)
		}
		new := &out.Skins[s]
		new.Bind, new.BindRow, new.HasBind = make([]rig.Affine, len(skin.Joints)), nil, true
		for k, n := range skin.Joints {
			new.Bind[k] = bindOf(skin, k)
			if !slices.Contains(joints, n) {
				continue
			}
			back, ok := world[n].Inverse()
			if !ok {
				return nil, refuse("%s is scaled to nothing: it cannot be bound.", name(r, n))
			}
			new.Bind[k] = back.Mul(&g)
		}
	}
	return &out, nil
}

// flattest is the determinant, in cubes of the largest scale, below which a bind matrix
// presses its part flat: what hangs on it has no shape to be seen.
const flattest = 1e-9

// Flat lists the joints of a skin whose bind matrix presses flat, in the order of the nodes.
func Flat(r *rig.Rig) (out []rig.Node) {
	for s := range r.Skins {
		for k, n := range r.Skins[s].Joints {
			bind := bindOf(&r.Skins[s], k)
			scale := bind.Scales()
			most := max(scale[0], scale[1], scale[2])
			if det := bind.Det(); n >= 0 && !(det < -flattest*most*most*most || det > flattest*most*most*most) {
				out = append(out, n)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
