package skeleton

import (
	"context"

	"rigloupe/inspect/rig"
)

// measureWeights adds up what every joint carries, by skin and in all.
func (f *Facts) measureWeights(ctx context.Context) error {
	g := f.e.Rig
	f.binds = make([]skinBind, len(g.Skins))
	for s := range g.Skins {
		f.binds[s] = skinBind{skin: rig.Skin(s), weight: make([]float64, len(g.Skins[s].Joints))}
	}
	for i, s := range g.Surfaces {
		if s.Skin < 0 {
			continue
		}
		if err := f.e.Tick(ctx, i, len(g.Surfaces)); err != nil {
			return err
		}
		b := &f.binds[s.Skin]
		b.surfaces = append(b.surfaces, i)
		m := &g.Meshes[s.Mesh]
		for k, w := range m.Weights {
			if w > 0 && int(m.Joints[k]) < len(b.weight) {
				b.weight[m.Joints[k]] += float64(w)
			}
		}
	}
	for s := range g.Skins {
		for k, n := range g.Skins[s].Joints {
			f.at(n).Influence += f.binds[s].weight[k]
		}
	}
	for i := len(g.Order) - 1; i >= 0; i-- { // children before parents
		j := f.at(g.Order[i])
		if j == nil {
			continue
		}
		j.below += j.Influence
		if j.Parent == nil {
			continue
		}
		up := f.at(*j.Parent)
		up.below += j.below
		if j.below > 0 && j.Towards >= 0 {
			up.branches++
		}
	}
	return nil
}
