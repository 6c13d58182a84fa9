package main

import (
	"context"
	"errors"
	"io"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/carry"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// other is a second figure, whose clips are laid over the open one.
type other struct {
	source, target *match.Skeleton
	done           []*carry.Result // what was carried over last
	shown          *rig.Rig        // the open figure with that behind its own clips; nil: none
}

// secondDocument tells what a second file holds.
type secondDocument struct {
	Name   string       `json:"name"`
	Kind   string       `json:"kind"` // "glb", "gltf" or "bvh"
	Joints int          `json:"joints"`
	Meshes int          `json:"meshes"`
	Clips  []secondClip `json:"clips"`
	Same   bool         `json:"same"` // the skeletons are the same: names, parents and places at rest

	// Both skeletons as matching sees them, for drawing: theirs first.
	Source []stand `json:"source"`
	Target []stand `json:"target"`
}

// stand is where one joint stands at rest, seen from before the figure.
type stand struct {
	Node   rig.Node   `json:"node"`
	Name   string     `json:"name"`
	Parent *rig.Node  `json:"parent"` // nearest joint above, null
	At     [2]float64 `json:"at"`     // towards the figure's left and up, shares of the longest side
	Side   string     `json:"side"`   // left, right, centre or ""
}

// stands lists the joints of a skeleton, parents first.
func stands(s *match.Skeleton) []stand {
	out := make([]stand, 0, len(s.Joints))
	for i, n := range s.Joints {
		at := s.At(n)
		size := max(s.Size, 1e-12)
		j := stand{Node: n, Name: s.Name(n), At: [2]float64{at.Dot(s.Left) / size, at.Dot(s.Up) / size}, Side: s.Roles.Of[n].Side.String()}
		for c, v := range j.At {
			if v-v != 0 { // no number in the file
				j.At[c] = 0
			}
		}
		if p := s.Parent[i]; p >= 0 {
			j.Parent = &s.Joints[p]
		}
		out = append(out, j)
	}
	return out
}

// sameWithin is how far two joints of one skeleton in two files may stand apart, in
// shares of its longest side: what the decimal places of a text file leave.
const sameWithin = 1e-4

// same tells that every joint of the source that a clip keys stands in the target under
// the same name and parent in the same place at rest, all shifted alike: a file of
// motion capture has its root anywhere, and ends that nothing keys. Axes may differ: a
// clip is laid over by what turns in the world since rest.
func same(s, t *match.Skeleton) bool {
	by := make(map[string]int, len(t.Joints))
	for i, n := range t.Joints {
		if _, twice := by[t.Name(n)]; twice {
			return false
		}
		by[t.Name(n)] = i
	}
	keyed := make([]bool, len(s.Rig.Nodes))
	for i := range s.Rig.Clips {
		for k := range s.Rig.Clips[i].Channels {
			if n := s.Rig.Clips[i].Channels[k].Node; n >= 0 && int(n) < len(keyed) {
				keyed[n] = true
			}
		}
	}
	size := max(t.Size, 1e-12)
	first := true
	var shift mgl64.Vec3
	for i, n := range s.Joints {
		if !keyed[n] {
			continue
		}
		k, ok := by[s.Name(n)]
		if !ok || (s.Parent[i] < 0) != (t.Parent[k] < 0) {
			return false
		}
		if p := s.Parent[i]; p >= 0 && s.Name(s.Joints[p]) != t.Name(t.Joints[t.Parent[k]]) {
			return false
		}
		d := s.At(n).Sub(t.At(t.Joints[k]))
		if first {
			first, shift = false, d
		}
		if off := d.Sub(shift).Len(); !(off <= sameWithin*size) {
			return false
		}
	}
	return !first
}

type secondClip struct {
	Clip     int     `json:"clip"`
	Name     string  `json:"name"`
	Start    float64 `json:"start"`
	Seconds  float64 `json:"seconds"` // the last key
	Channels int     `json:"channels"`
}

// match tells which joint of the second figure moves which of the open one.
func (x *examiner) match(_ context.Context, a bridge.AskMatch, _ []gltfio.File) (ending, error) {
	m, err := x.between(a.Pins)
	if err != nil {
		return ending{}, err
	}
	if a.Format == "csv" {
		return x.text("match", m.WriteCSV)
	}
	return x.text("match", m.WriteJSON)
}

// between matches the second figure with the open one, around a saved table; no text: none.
func (x *examiner) between(pins string) (*match.Match, error) {
	if x.other.source == nil {
		return nil, errors.New("there is no second file yet; hand over the one that holds the motion")
	}
	var list []match.Pin
	if pins != "" {
		var err error
		if list, err = match.ReadPins([]byte(pins), x.other.source.Rig, x.other.target.Rig); err != nil {
			return nil, err
		}
	}
	return match.Between(x.other.source, x.other.target, list...), nil
}

// second reads another figure, shows it and tells what it holds.
func (x *examiner) second(ctx context.Context, _ bridge.AskNothing, files []gltfio.File) (ending, error) {
	kept := other{done: x.other.done, shown: x.other.shown} // the page shows it until the next carrying
	x.other = kept
	x.progress("read", "Reading", 0, 1, "Reading the second file")
	r, err := x.open(files)
	if err != nil {
		return ending{}, err
	}
	if err := x.parcel("secondRig", r); err != nil {
		return ending{}, err
	}
	prepared, err := scene.Prepare(ctx, r, x.drawing(ctx))
	if err != nil {
		return ending{}, err
	}
	if err := x.parcel("secondPrepared", prepared); err != nil {
		return ending{}, err
	}
	source := match.NewSkeleton(r)
	if err := x.parcel("secondFields", scene.RoleFields(r, source.Roles)); err != nil {
		return ending{}, err
	}
	x.other = other{source: source, target: match.NewSkeleton(x.result.Exam.Rig), done: kept.done, shown: kept.shown}
	d := secondDocument{Name: r.File.Name, Kind: r.File.Kind, Joints: len(source.Joints), Meshes: len(r.Surfaces), Clips: []secondClip{}, Same: same(source, x.other.target),
		Source: stands(source), Target: stands(x.other.target)}
	for i := range r.Clips {
		c := &r.Clips[i]
		d.Clips = append(d.Clips, secondClip{i, c.Name, c.Start, c.Seconds, len(c.Channels)})
	}
	return x.text("second", func(w io.Writer) error { return desk.WriteJSON(w, d) })
}
