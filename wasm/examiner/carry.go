package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// carry lays one clip of the second file, or all, over the open figure and shows that
// with the new clips as its last. The open figure itself stays as it was.
func (x *examiner) carry(ctx context.Context, m *match.Match, a bridge.Ask) error {
	r := m.S.Rig
	if len(r.Clips) == 0 {
		return fmt.Errorf("%q holds no clip to carry over", r.File.Name)
	}
	var clips []rig.Clip
	for i := range r.Clips {
		if a.Clip == nil || *a.Clip == i {
			clips = append(clips, rig.Clip(i))
		}
	}
	if len(clips) == 0 {
		return fmt.Errorf("%q has no clip %d; it holds %d", r.File.Name, *a.Clip, len(r.Clips))
	}
	name := a.Rename
	if len(clips) > 1 {
		name = ""
	}
	done, reports, err := carry.All(ctx, m, clips, carry.Options{FreeFeet: a.FreeFeet, Name: name, Tick: func(done, total int) error {
		x.progress("carry", "Carrying over", done, total, fmt.Sprintf("Carrying over: %d of %d", done, total))
		return ctx.Err()
	}})
	if err != nil {
		return err
	}
	shown := *m.T.Rig
	shown.Clips = slices.Clone(shown.Clips)
	for _, d := range done {
		shown.Clips = append(shown.Clips, d.Clip)
	}
	if err := x.parcel("carriedRig", scene.ForStage(&shown)); err != nil {
		return err
	}
	for _, d := range done {
		x.tell(bridge.Parcel{ID: x.id, Kind: "secondPlaces", Name: d.Clip.Name}, places(m.S, d))
	}
	var b bytes.Buffer
	if err := carry.WriteJSON(&b, m, reports); err != nil {
		return err
	}
	x.other.done, x.other.shown = done, &shown
	x.tell(bridge.Document{ID: x.id, Kind: "carry", JSON: b.String()}, nil)
	return nil
}

// perSecond is how often the source's joints are placed for drawing them beside the
// result; mostPlaces bounds what that may take.
const (
	perSecond  = 30
	mostPlaces = 4 << 20
)

// places are where the joints of a second figure are while a clip of it plays, as
// little-endian float32: first key and last key of the carried clip in seconds, number
// of frames, evenly spread from one to the other; then frame by frame each joint's way
// towards the figure's left, up and forward, in shares of its longest side.
func places(s *match.Skeleton, d *carry.Result) []byte {
	n := int(min(math.Ceil((d.Clip.Seconds-d.Clip.Start)*perSecond-1e-6), mostPlaces)) + 1
	n = max(1, min(n, mostPlaces/max(1, 3*len(s.Joints))))
	out := make([]byte, 0, 4*(3+3*n*len(s.Joints)))
	put := func(v float64) {
		if v-v != 0 { // no number in the file
			v = 0
		}
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
	}
	put(d.Clip.Start)
	put(d.Clip.Seconds)
	put(float64(n))
	pose := deform.NewPose(s.Rig)
	size := max(s.Size, 1e-12)
	for f := range n {
		at := d.Clip.Start
		if n > 1 {
			at += (d.Clip.Seconds - d.Clip.Start) * float64(f) / float64(n-1)
		}
		pose.Sample(d.From, at)
		for _, j := range s.Joints {
			o := pose.World[j].Origin()
			put(o.Dot(s.Left) / size)
			put(o.Dot(s.Up) / size)
			put(o.Dot(s.Forward) / size)
		}
	}
	return out
}

// save writes what was carried last: the open figure's own file with the clips behind
// its own, or one clip as BVH.
func (x *examiner) save(a bridge.Ask, files []gltfio.File) error {
	done := x.other.done
	if len(done) == 0 {
		return errors.New("nothing has been carried over yet")
	}
	target := x.open()
	name := strings.TrimSuffix(target.File.Name, path.Ext(target.File.Name)) + "-" + done[0].Clip.Name
	var data []byte
	var err error
	switch a.Format {
	case "bvh":
		if len(done) > 1 {
			return errors.New("a BVH file holds one clip; carry one over")
		}
		r := done[0].Rig()
		if data, err = bvh.Write(r, rig.Clip(len(r.Clips)-1)); err == nil {
			err = bvh.Holds(data)
		}
	case "glb":
		clips := slices.Clone(target.Clips)
		for _, d := range done {
			clips = append(clips, d.Clip)
		}
		if target.File.Kind == "bvh" {
			data, err = gltfio.Bare(target, clips)
		} else {
			data, err = gltfio.Append(files, clips[len(target.Clips):])
		}
		if err == nil { // nothing is handed over that does not read back
			err = gltfio.Holds(data, target, clips)
		}
	default:
		return fmt.Errorf("save as %q: want glb or bvh", a.Format)
	}
	if err != nil {
		return err
	}
	x.tell(bridge.Parcel{ID: x.id, Kind: "saved", Name: name + "." + a.Format}, data)
	return nil
}
