package desk

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Saved is a whole file that was made: what it is called unless somebody names it, its
// bytes, and whether they read back as what they were made of. Nothing is handed over
// before Holds has seen it.
type Saved struct {
	Name  string
	Data  []byte
	Holds func(data []byte) error
}

// Formats that a result is saved in, and the endings of their names.
const (
	GLB = "glb"
	BVH = "bvh"
)

// Carried is what was carried over as a file: the target's own with the clips behind its
// own, or one clip as BVH. from is where target was opened.
func Carried(from *Source, target *rig.Rig, done []*carry.Result, format string) (s Saved, err error) {
	if len(done) == 0 {
		return s, errors.New("nothing has been carried over yet")
	}
	s.Name = strings.TrimSuffix(target.File.Name, path.Ext(target.File.Name)) + "-" + done[0].Clip.Name + "." + format
	switch format {
	case BVH:
		if len(done) > 1 {
			return s, errors.New("a BVH file holds one clip; carry one over")
		}
		r := done[0].Rig()
		s.Data, err = bvh.Write(r, rig.Clip(len(r.Clips)-1))
		s.Holds = bvh.Holds
	case GLB:
		clips := slices.Clone(target.Clips)
		for _, d := range done {
			clips = append(clips, d.Clip)
		}
		if target.File.Kind == "bvh" {
			s.Data, err = original.Bare(target, clips)
		} else {
			s.Data, err = from.appended(clips[len(target.Clips):])
		}
		s.Holds = func(data []byte) error { return gltfio.Holds(data, target, clips) }
	default:
		err = fmt.Errorf("save as %q: want glb or bvh", format)
	}
	return s, err
}

// Clips answers which clips of a source are carried over: the one of that index, or all.
func Clips(source *rig.Rig, one *int) (clips []rig.Clip, err error) {
	n := len(source.Clips)
	switch {
	case n == 0:
		return nil, fmt.Errorf("%q holds no clip to carry over", source.File.Name)
	case one == nil:
		for i := range n {
			clips = append(clips, rig.Clip(i))
		}
		return clips, nil
	case *one < 0 || *one >= n:
		return nil, fmt.Errorf("%q has no clip %d; it holds %d", source.File.Name, *one, n)
	}
	return []rig.Clip{rig.Clip(*one)}, nil
}
