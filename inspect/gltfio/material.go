package gltfio

import (
	"fmt"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
)

// wrapCode is glTF's number of a wrap mode.
var wrapCode = [...]uint16{gltf.WrapRepeat: 10497, gltf.WrapClampToEdge: 33071, gltf.WrapMirroredRepeat: 33648}

// materials reads what the painted lens needs: base colour, its picture, cut-outs.
func (r *reader) materials() error {
	for i, src := range r.doc.Materials {
		m := rig.Material{Color: [4]float32{1, 1, 1, 1}, Image: rig.None}
		if src == nil { // it was told when it was decoded
			r.rig.Materials = append(r.rig.Materials, m)
			continue
		}
		m.Name, m.DoubleSided = src.Name, src.DoubleSided
		if src.AlphaMode == gltf.AlphaMask {
			m.Cutoff = float32(src.AlphaCutoffOrDefault())
		}
		if p := src.PBRMetallicRoughness; p != nil {
			for k, v := range p.BaseColorFactorOrDefault() {
				m.Color[k] = float32(min(max(v, 0), 1))
			}
			if t := p.BaseColorTexture; t != nil {
				r.texture(i, t.Index, &m)
			}
		}
		r.rig.Materials = append(r.rig.Materials, m)
	}
	return nil
}

// texture follows a texture to its picture.
func (r *reader) texture(material, i int, m *rig.Material) {
	where := place("materials", material, "pbrMetallicRoughness", "baseColorTexture", "index")
	if i < 0 || i >= len(r.doc.Textures) || r.doc.Textures[i] == nil {
		r.bad(nowhere, where, "texture %d does not exist, there are %d; drawn plain", i, len(r.doc.Textures))
		return
	}
	t := r.doc.Textures[i]
	source := t.Source
	if source == nil {
		if others := packedSources(t); len(others) > 0 {
			source = &others[0]
		}
	}
	if source == nil {
		return
	}
	if *source < 0 || *source >= len(r.rig.Images) {
		r.bad(nowhere, place("textures", i, "source"), "image %d does not exist, there are %d; drawn plain", *source, len(r.rig.Images))
		return
	}
	m.Image = *source
	if t.Sampler == nil {
		return
	}
	if *t.Sampler < 0 || *t.Sampler >= len(r.doc.Samplers) || r.doc.Samplers[*t.Sampler] == nil {
		r.bad(nowhere, place("textures", i, "sampler"), "sampler %d does not exist, there are %d; ignored", *t.Sampler, len(r.doc.Samplers))
		return
	}
	s := r.doc.Samplers[*t.Sampler]
	m.Wrap = [2]uint16{wrapCode[s.WrapS], wrapCode[s.WrapT]}
}

// packedSources are the pictures that a texture names in extensions, the first the one to
// show.
func packedSources(t *gltf.Texture) (out []int) {
	for _, name := range []string{"EXT_texture_webp", "KHR_texture_basisu", "EXT_texture_avif", "MSFT_texture_dds"} {
		var e struct{ Source *int }
		if unmarshalExtension(t.Extensions, name, &e) && e.Source != nil {
			out = append(out, *e.Source)
		}
	}
	return out
}

// uvSet is the attribute that a material's picture goes by.
func (r *reader) uvSet(material int) string {
	if material >= 0 {
		if src := r.doc.Materials[material]; src != nil && src.PBRMetallicRoughness != nil && src.PBRMetallicRoughness.BaseColorTexture != nil {
			return fmt.Sprintf("TEXCOORD_%d", src.PBRMetallicRoughness.BaseColorTexture.TexCoord)
		}
	}
	return gltf.TEXCOORD_0
}
