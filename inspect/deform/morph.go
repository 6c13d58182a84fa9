package deform

// morph answers positions and normals with the morph targets at work added: base +
// Σ weight·displacement, before any skinning (glTF 2.0, Morph Targets). Without
// any at work they are the mesh's own.
func (d *Deformer) morph(p *Pose, wantNormals bool) (pos, normals []float32) {
	pos, normals = d.mesh.Positions, d.Normals
	if normals == nil {
		normals = d.mesh.Normals
	}
	if len(normals) < len(pos) {
		normals = nil
	}
	weights := p.MorphWeights(d.surface.Node)
	base := normals
	moved, turned := false, false
	for i, w := range weights {
		if w == 0 || i >= len(d.mesh.Targets) {
			continue
		}
		t := &d.mesh.Targets[i]
		if len(t.Positions) >= len(pos) {
			if !moved {
				d.pos = room(d.pos, len(pos))
				copy(d.pos, d.mesh.Positions)
				pos, moved = d.pos, true
			}
			add(pos, t.Positions, w)
		}
		if wantNormals && base != nil && len(t.Normals) >= len(base) {
			if !turned {
				d.normals = room(d.normals, len(base))
				copy(d.normals, base)
				normals, turned = d.normals, true
			}
			add(normals, t.Normals, w)
		}
	}
	return pos, normals
}

func add(to, by []float32, w float32) {
	by = by[:len(to)]
	for i := range to {
		to[i] += w * by[i]
	}
}
