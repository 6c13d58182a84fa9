package desk

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mark"
	"rigloupe/inspect/rig"
)

// Planted is a fault of the sample as a list shows it: by number, so that a link can name
// it without telling what it is.
type Planted struct {
	Number int    `json:"number"` // five figures, made of what it is: it stays when others are added, and tells nothing
	Check  string `json:"check"`
	Title  string `json:"title"` // of the check
	Says   string `json:"says"`  // what is done to the sample
	Grade  string `json:"grade"`
}

// unwritten is the fault that no file of the sample holds: the encoder takes a scale of
// nothing for one that is not given.
const unwritten = "head scaled to nothing"

// Faults lists all that can be planted and handed over.
func Faults() []Planted {
	titles := map[string]string{}
	for _, s := range inspect.Catalogue() {
		for _, c := range s.Entries {
			titles[c.ID] = c.Title
		}
	}
	var all []Planted
	for _, f := range lamplighter.Faults() {
		if f.Name != unwritten {
			all = append(all, Planted{numberOf(&f), f.ID, titles[f.ID], f.Name, f.Grade})
		}
	}
	return all
}

// near is how far beyond a planted place still counts as there, metres: about a hand, on a
// figure of a person's size (value chosen by us).
const near = 0.15

// Answer is what the fault of a number does to the sample.
func Answer(number int) (mark.Answer, error) {
	fault, err := faultOf(number)
	if err != nil {
		return mark.Answer{}, err
	}
	all := Faults()
	p := all[slices.IndexFunc(all, func(p Planted) bool { return p.Number == number })]
	a := mark.Answer{Answer: mark.Version, Fault: number, Check: p.Check, Title: p.Title, Says: p.Says, Grade: p.Grade, Joints: []string{}, Also: fault.Also}
	clean := lamplighter.Build(lamplighter.Options{})
	r, planted := fault.On(clean)
	joints := anatomy.SkinJoints(r)
	if strings.HasPrefix(p.Check, "intake/") || p.Check == "motion/split-clip" { // about the whole figure: there is no place to point at
		planted.Nodes, planted.Point = nil, nil
	}
	for _, n := range planted.Nodes {
		if !slices.Contains(joints, n) {
			continue
		}
		if r.Nodes[n].Name == "" && planted.Point == nil { // nobody can name it
			at := r.RestWorld()[n].Origin()
			planted.Point = &at
		}
		for _, in := range []*rig.Rig{clean, r} { // the fault may have renamed it, or be a new one
			if int(n) < len(in.Nodes) && in.Nodes[n].Name != "" && !slices.Contains(a.Joints, in.Nodes[n].Name) {
				a.Joints = append(a.Joints, in.Nodes[n].Name)
			}
		}
	}
	if planted.Point != nil {
		a.Point = planted.Point[:]
		far := 0.0
		for _, v := range planted.Vertices {
			sum := 0.0
			for k := range 3 {
				d := float64(r.Meshes[0].Positions[3*int(v)+k]) - planted.Point[k]
				sum += d * d
			}
			far = max(far, sum)
		}
		a.Reach = near + math.Sqrt(far)
	}
	if a.Also == nil {
		a.Also = []string{}
	}
	return a, nil
}

// numberOf is a fault's number: 10000 to 99999, by FNV-1a of its check and its name.
func numberOf(f *lamplighter.Fault) int {
	h := fnv.New32a()
	h.Write([]byte(f.ID + "\n" + f.Name))
	return 10000 + int(h.Sum32()%90000)
}

// faultOf is the fault of a number.
func faultOf(number int) (*lamplighter.Fault, error) {
	all := lamplighter.Faults()
	for i := range all {
		if numberOf(&all[i]) == number && all[i].Name != unwritten {
			return &all[i], nil
		}
	}
	return nil, fmt.Errorf("fault %d: no fault has that number; rigloupe lesson lists them", number)
}
