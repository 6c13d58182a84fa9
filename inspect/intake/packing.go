package intake

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Packing is how coarse the stored numbers of one surface are.
type Packing struct {
	StepM      float64 `json:"step_m"`      // one step of the quantised positions in world metres, the coarsest axis; 0: float
	EdgeM      float64 `json:"edge_m"`      // 1st percentile of the edge lengths; 0: not measured, or no edge
	WeightStep float64 `json:"weight_step"` // 1/255, 1/65535; 0: float or none
}

// Picture is an image that cannot be shown.
type Picture struct {
	Index int    `json:"image"`
	Name  string `json:"name"`
	MIME  string `json:"mime"`
	Why   string `json:"why"`
}

// glTF component types (glTF 2.0, Accessor Data Types).
const (
	byteType   = 5120
	ubyteType  = 5121
	shortType  = 5122
	ushortType = 5123
	floatType  = 5126
)

// storedStep is what one unit of the stored integers is in the mesh's own space
// (glTF 2.0, Animations: normalised integers; KHR_mesh_quantization). 0: float.
func storedStep(p *rig.PrimitiveData) float64 {
	full := 1.0
	switch p.PositionType {
	case byteType:
		full = 127
	case ubyteType:
		full = 255
	case shortType:
		full = 32767
	case ushortType:
		full = 65535
	default:
		return 0
	}
	if p.PositionNormalized {
		return 1 / full
	}
	return 1
}

func isQuantised(m *rig.MeshData) bool {
	for i := range m.Primitives {
		if storedStep(&m.Primitives[i]) > 0 {
			return true
		}
	}
	return false
}

// packing measures the steps of one surface.
func packing(e *exam.Exam, surface int, in influence) (p Packing) {
	r := e.Rig
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	step := 0.0
	for i := range m.Primitives {
		step = max(step, storedStep(&m.Primitives[i]))
		switch m.Primitives[i].WeightType {
		case ubyteType:
			p.WeightStep = max(p.WeightStep, 1.0/255)
		case ushortType:
			p.WeightStep = max(p.WeightStep, 1.0/65535)
		}
	}
	if step == 0 {
		return p
	}
	world := e.RestWorld()
	scale := 0.0
	if s.Skin < 0 || len(in.joints) == 0 {
		l := world[s.Node].Scales()
		scale = max(l[0], l[1], l[2])
	} else {
		skin := &r.Skins[s.Skin]
		for _, j := range in.joints {
			a := world[skin.Joints[j]].Mul(&skin.Bind[j])
			l := a.Scales()
			scale = max(scale, l[0], l[1], l[2])
		}
	}
	p.StepM = finite(step * scale)
	p.EdgeM = finite(lowEdge(m, e.RestPositions(surface)))
	return p
}

// edgeTriangles are enough to tell a percentile: of more, every second, third … is
// taken: a million would cost time for nothing.
const edgeTriangles = 100_000

// lowEdge is the 1st percentile of the lengths of the triangle sides that have any.
func lowEdge(m *rig.MeshData, pos []float32) float64 {
	stride := 3 * (1 + len(m.Triangles)/(3*edgeTriangles))
	lengths := make([]float32, 0, 3*(len(m.Triangles)/stride+1))
	for t := 0; t+2 < len(m.Triangles); t += stride {
		for k := range 3 {
			a, b := 3*m.Triangles[t+k], 3*m.Triangles[t+(k+1)%3]
			x, y, z := pos[a]-pos[b], pos[a+1]-pos[b+1], pos[a+2]-pos[b+2]
			if l := x*x + y*y + z*z; l > 0 {
				lengths = append(lengths, l)
			}
		}
	}
	if len(lengths) == 0 {
		return 0
	}
	return math.Sqrt(float64(space.Percentile(lengths, 1)))
}

// compression names the extensions in use that pack geometry or pictures.
func compression(r *rig.Rig) []string {
	out := []string{}
	for _, u := range r.File.Used {
		switch u {
		case "KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_meshopt_compression",
			"KHR_mesh_quantization", "KHR_texture_basisu", "EXT_texture_webp", "EXT_texture_avif", "MSFT_texture_dds":
			if !slices.Contains(out, u) {
				out = append(out, u)
			}
		}
	}
	slices.Sort(out)
	return out
}

// unshown lists the pictures whose kind cannot be drawn.
func unshown(r *rig.Rig) (out []Picture) {
	for i := range r.Images {
		m := &r.Images[i]
		known := m.MIME == "" || strings.HasSuffix(m.MIME, "/png") || strings.HasSuffix(m.MIME, "/jpeg") || strings.HasSuffix(m.MIME, "/webp")
		if m.Spare {
			continue
		}
		if !known || m.Data == nil && m.Missing != "" {
			out = append(out, Picture{Index: i, Name: m.Name, MIME: m.MIME, Why: m.Missing})
		}
	}
	return out
}
