// Command mended does every mend on one figure and writes what other programs are to read
// and play: each mended file, and where Rigloupe sees its vertices at rest, at three moments
// of each of three clips, and with its morph targets half on. Tests of the page's folder
// hold these against three.js and the glTF conformance checker.
//
//	mended FOLDER FILE
//
// It prints one JSON list, a row a mend and form of the file.
package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/mend/mendtest"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// row is one mend tried on one form of the file.
type row struct {
	Form     string         `json:"form"` // plain, dressed, unbound, bare
	Name     string         `json:"name"` // "": the form as it is
	Mend     string         `json:"mend,omitempty"`
	Values   map[string]any `json:"values,omitempty"`
	Refused  string         `json:"refused,omitempty"`
	File     string         `json:"file,omitempty"`
	Places   string         `json:"places,omitempty"` // float32, x y z a vertex
	Moments  []moment       `json:"moments,omitempty"`
	Surfaces []surface      `json:"surfaces,omitempty"`
}

// moment is a pose whose places begin at a vertex of the file.
type moment struct {
	Clip    rig.Clip `json:"clip"` // −1: rest
	Seconds float64  `json:"seconds"`
	Morph   float32  `json:"morph"` // weight of every morph target, 0: as they stand
	First   int      `json:"first"`
}

// surface is one primitive of a node; first counts from that of the moment.
type surface struct {
	Node      rig.Node `json:"node"`
	Primitive int      `json:"primitive"`
	Vertices  int      `json:"vertices"`
	First     int      `json:"first"`
}

func main() {
	log.SetFlags(0)
	log.SetPrefix("mended: ")
	if len(os.Args) != 3 {
		log.Fatal("want FOLDER FILE")
	}
	rows, err := all(os.Args[1], os.Args[2])
	if err != nil {
		log.Fatal(err)
	}
	if err := json.NewEncoder(os.Stdout).Encode(rows); err != nil {
		log.Fatal(err)
	}
}

func all(folder, file string) (rows []row, err error) {
	plain, err := original.OpenFS(os.DirFS(filepath.Dir(file)), filepath.Base(file), gltfio.Options{})
	if err != nil {
		return nil, err
	}
	for _, form := range mendtest.Forms {
		d, err := form.Of(plain)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", form.Name, err)
		}
		s, err := mend.Open(d)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", form.Name, err)
		}
		s.Beside(s)
		as := row{Form: form.Name}
		if err := as.write(folder, s); err != nil {
			return nil, err
		}
		rows = append(rows, as)
		for _, r := range mendtest.Rows(s.Rig) {
			if !form.Asks(&r, slices.ContainsFunc(rows, func(o row) bool { return o.Name == r.Name && o.File != "" })) {
				continue
			}
			one := row{Form: form.Name, Name: r.Name, Mend: r.Mend, Values: r.Values}
			if err := one.try(folder, s, &r); err != nil {
				return nil, fmt.Errorf("%s, %s: %w", form.Name, r.Name, err)
			}
			rows = append(rows, one)
		}
	}
	return rows, nil
}

// try does the mend and writes the file that it gives.
func (o *row) try(folder string, s *mend.State, r *mendtest.Row) error {
	if r.After != nil {
		x, err := tried(s, r.After)
		if err != nil {
			return err
		}
		if x.After == nil {
			o.Refused = x.Refused()
			return nil
		}
		s = x.After
	}
	x, err := tried(s, r)
	if err != nil {
		return err
	}
	if x.After == nil {
		o.Refused = x.Refused()
		return nil
	}
	return o.write(folder, x.After)
}

func tried(s *mend.State, r *mendtest.Row) (*mend.Trial, error) {
	m, err := mend.Named(r.Mend)
	if err != nil {
		return nil, err
	}
	return s.Try(context.Background(), m, r.Values)
}

// write stores a figure and where its vertices are seen.
func (o *row) write(folder string, s *mend.State) error {
	stem := strings.TrimSpace(o.Form + " " + o.Name)
	o.File, o.Places = stem+".glb", stem+".f32"
	if err := os.WriteFile(filepath.Join(folder, o.File), s.Bytes, 0o644); err != nil {
		return err
	}
	for i, x := range s.Rig.Surfaces {
		for k, p := range s.Rig.Meshes[x.Mesh].Primitives {
			first := 0
			if n := len(o.Surfaces); n > 0 {
				first = o.Surfaces[n-1].First + o.Surfaces[n-1].Vertices
			}
			o.Surfaces = append(o.Surfaces, surface{s.Rig.Surfaces[i].Node, k, p.Count, first})
		}
	}
	var out []byte
	for _, m := range moments(s.Rig) {
		m.First = len(out) / 12
		p := mend.NewPosed(s.Rig)
		if m.Morph > 0 {
			for _, x := range s.Rig.Surfaces {
				w := make([]float32, len(s.Rig.Meshes[x.Mesh].Targets))
				for i := range w {
					w[i] = m.Morph
				}
				p.Pose.Morph[x.Node] = w
			}
		} else if m.Clip >= 0 {
			p.Pose.Sample(m.Clip, m.Seconds)
		}
		for i, x := range s.Rig.Surfaces {
			at := p.Positions(i)
			for _, q := range s.Rig.Meshes[x.Mesh].Primitives {
				var err error
				if out, err = binary.Append(out, binary.LittleEndian, at[3*q.First:3*(q.First+q.Count)]); err != nil {
					return err
				}
			}
		}
		o.Moments = append(o.Moments, m)
	}
	return os.WriteFile(filepath.Join(folder, o.Places), out, 0o644)
}

// moments are rest, three of the first, the middle and the last clip, and morph targets half
// on where there are some.
func moments(r *rig.Rig) []moment {
	out := []moment{{Clip: rig.None}}
	last := -1
	for _, c := range []int{0, len(r.Clips) / 2, len(r.Clips) - 1} {
		if c <= last || c >= len(r.Clips) {
			continue
		}
		last = c
		from, to := r.Clips[c].Start, r.Clips[c].Seconds
		for _, share := range []float64{0.1, 0.47, 0.83} {
			// three.js keeps its time in float64 and keys in float32, as we do.
			out = append(out, moment{Clip: rig.Clip(c), Seconds: from + share*(to-from)})
		}
	}
	for _, s := range r.Surfaces {
		if len(r.Meshes[s.Mesh].Targets) > 0 {
			return append(out, moment{Clip: rig.None, Morph: 0.5})
		}
	}
	return out
}
