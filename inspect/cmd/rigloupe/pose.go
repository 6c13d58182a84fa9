package main

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// moment is what --clip, --at and --method say.
type moment struct {
	clip, method *string
	at           *float64
}

func (m *moment) flags(f *flag.FlagSet) {
	m.clip = f.String("clip", "", "")
	m.at = f.Float64("at", 0, "")
	m.method = f.String("method", "linear", "")
}

// resolve answers the clip (rig.None: rest), and the method.
func (m *moment) resolve(r *rig.Rig) (rig.Clip, deform.Method, error) {
	method, ok := map[string]deform.Method{"linear": deform.Linear, "dual": deform.Dual}[*m.method]
	if !ok {
		return 0, 0, callError{fmt.Sprintf("--method %q: want linear or dual", *m.method)}
	}
	if math.IsNaN(*m.at) || math.IsInf(*m.at, 0) {
		return 0, 0, callError{"--at: want seconds"}
	}
	if *m.clip == "" {
		if *m.at != 0 {
			return 0, 0, callError{"--at needs --clip; without it the rest pose is meant"}
		}
		return rig.None, method, nil
	}
	for i := range r.Clips {
		if r.Clips[i].Name == *m.clip {
			return rig.Clip(i), method, nil
		}
	}
	if n, err := strconv.Atoi(*m.clip); err == nil && n >= 0 && n < len(r.Clips) {
		return rig.Clip(n), method, nil
	}
	return 0, 0, callError{fmt.Sprintf("--clip %q: the file has %s", *m.clip, clipNames(r))}
}

func clipNames(r *rig.Rig) string {
	if len(r.Clips) == 0 {
		return "no clip"
	}
	var names []string
	for i := range r.Clips[:min(len(r.Clips), 12)] {
		names = append(names, fmt.Sprintf("%d %q", i, r.Clips[i].Name))
	}
	if more := len(r.Clips) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}

// pose writes deformed positions and tells on standard output how they lie in
// the file: by node, then primitive, then vertex.
func (p *program) pose(args []string) (int, error) {
	f := flag.NewFlagSet("pose", flag.ContinueOnError)
	var m moment
	m.flags(f)
	to := f.String("out", "", "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	if *to == "" {
		return 0, callError{"--out names the file to write"}
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	clip, method, err := m.resolve(r)
	if err != nil {
		return 0, err
	}
	pose := deform.NewPose(r)
	if clip >= 0 {
		pose.Sample(clip, *m.at)
	}
	type part struct {
		Node      rig.Node `json:"node"`
		Primitive int      `json:"primitive"`
		Vertices  int      `json:"vertices"`
		First     int      `json:"first"` // vertices before it in the file
	}
	answer := struct {
		Clip     *rig.Clip `json:"clip"`
		Seconds  float64   `json:"seconds"`
		Method   string    `json:"method"`
		Surfaces []part    `json:"surfaces"`
	}{Seconds: *m.at, Method: *m.method, Surfaces: []part{}}
	if clip >= 0 {
		answer.Clip = &clip
	}
	file, err := os.Create(*to)
	if err != nil {
		return 0, callError{fmt.Sprintf("--out: %v", err)}
	}
	defer file.Close()
	w := bufio.NewWriterSize(file, 1<<20)
	written := 0
	for i, s := range r.Surfaces {
		mesh := &r.Meshes[s.Mesh]
		pos := make([]float32, len(mesh.Positions))
		deform.NewDeformer(r, i).Apply(pose, method, pos, nil, nil, nil)
		for k, q := range mesh.Primitives {
			answer.Surfaces = append(answer.Surfaces, part{s.Node, k, q.Count, written})
			written += q.Count
			if err := binary.Write(w, binary.LittleEndian, pos[3*q.First:3*(q.First+q.Count)]); err != nil {
				return 0, fmt.Errorf("write %q: %w", *to, err)
			}
		}
	}
	if err := w.Flush(); err != nil {
		return 0, fmt.Errorf("write %q: %w", *to, err)
	}
	return exitDone, json.NewEncoder(p.out).Encode(answer)
}
