package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"rigloupe/inspect/carry"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// carry lays one clip of the second file, or all, over the open figure and shows that
// with the new clips as its last. The open figure itself stays as it was.
func (x *examiner) carry(ctx context.Context, a bridge.AskCarry, _ []gltfio.File) (ending, error) {
	m, err := x.between(a.Pins)
	if err != nil {
		return ending{}, err
	}
	clips, err := clipsAsked(m.S.Rig, a.Clips)
	if err != nil {
		return ending{}, err
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
		return ending{}, err
	}
	shown := *m.T.Rig
	shown.Clips = slices.Clone(shown.Clips)
	for _, d := range done {
		shown.Clips = append(shown.Clips, d.Clip)
	}
	if err := x.parcel("carriedRig", scene.ForStage(&shown)); err != nil {
		return ending{}, err
	}
	for _, d := range done {
		x.tell(bridge.Parcel{ID: x.id, Kind: "secondPlaces", Name: d.Clip.Name}, places(m.S, d), false)
	}
	x.other.done, x.other.shown = done, &shown
	return x.text("carry", func(w io.Writer) error { return carry.WriteJSON(w, m, reports) })
}

// clipsAsked are the clips of a JSON list of numbers, or all.
func clipsAsked(source *rig.Rig, list string) (clips []rig.Clip, err error) {
	if list == "" {
		return desk.Clips(source, nil)
	}
	var numbers []int
	if err := json.Unmarshal([]byte(list), &numbers); err != nil {
		return nil, fmt.Errorf("the clips to carry cannot be read: %w", err)
	}
	if len(numbers) == 0 {
		return nil, errors.New("no clip is ticked: there is nothing to carry over")
	}
	for _, n := range numbers {
		one, err := desk.Clips(source, &n)
		if err != nil {
			return nil, err
		}
		clips = append(clips, one...)
	}
	return clips, nil
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

// save writes what was carried last as a file, which reads back.
func (x *examiner) save(_ context.Context, a bridge.AskSave, files []gltfio.File) (ending, error) {
	s, err := desk.Carried(x.opened(files), x.result.Exam.Rig, x.other.done, a.Format)
	if err == nil {
		err = s.Holds(s.Data)
	}
	return ending{bridge.Parcel{ID: x.id, Kind: "saved", Name: s.Name}, s.Data}, err
}
