package main

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"flag"
	"io"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

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
	out, err := p.output("--out", *to, name)
	if err != nil {
		return 0, err
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	var st scene.State
	if err := m.resolve(r, &st); err != nil {
		return 0, err
	}
	pose := posed(r, &st)
	type turned struct {
		Joint   rig.Node `json:"joint"`
		Axis    string   `json:"axis"`
		Degrees float64  `json:"degrees"`
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
		Move     *turned   `json:"move,omitempty"`
		Method   string    `json:"method"`
		Surfaces []part    `json:"surfaces"`
	}{Seconds: *m.at, Method: *m.method, Surfaces: []part{}}
	if st.Clip >= 0 {
		answer.Clip = &st.Clip
	}
	if st.Move.Axis != "" {
		answer.Move = &turned{st.Move.Joint, st.Move.Axis, st.Move.Degrees}
	}
	err = out.write(func(to io.Writer) error {
		w := bufio.NewWriterSize(to, 1<<20)
		written := 0
		for i, s := range r.Surfaces {
			mesh := &r.Meshes[s.Mesh]
			pos := make([]float32, len(mesh.Positions))
			deform.NewDeformer(r, i).Apply(pose, st.Method, pos, nil, nil, nil)
			for k, q := range mesh.Primitives {
				answer.Surfaces = append(answer.Surfaces, part{s.Node, k, q.Count, written})
				written += q.Count
				if err := binary.Write(w, binary.LittleEndian, pos[3*q.First:3*(q.First+q.Count)]); err != nil {
					return err
				}
			}
		}
		return w.Flush()
	}, nil)
	if err != nil {
		return 0, err
	}
	return exitDone, json.NewEncoder(p.out).Encode(answer)
}
