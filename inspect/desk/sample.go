package desk

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Sample is a wish for the built-in figure, in words. The zero value is the figure of the
// page.
type Sample struct {
	Pose     string   // "T", also for "", or "A"
	Names    string   // of its joints: "plain", also for "", "snake" or "prefix"
	Vertices int      // about as many; 0: 10,000
	Faults   []string // checks whose first fault is planted, in this order
	Number   int      // the fault of that number is planted, as Faults lists them; 0: none
}

// File is the figure as it would be handed over.
func (s Sample) File() (gltfio.File, error) {
	o, err := s.options()
	if err != nil {
		return gltfio.File{}, err
	}
	file := gltfio.File{Name: o.FileName()}
	if len(s.Faults) == 0 && s.Number == 0 {
		file.Data = lamplighter.GLB(o)
		return file, nil
	}
	r := lamplighter.Build(o)
	for _, id := range s.Faults {
		if r, err = plant(r, id); err != nil {
			return file, err
		}
	}
	if s.Number != 0 {
		f, err := faultOf(s.Number)
		if err != nil {
			return file, err
		}
		r, _ = f.On(r)
	}
	file.Data = lamplighter.Write(r) // a planted fault may be one that no reader lets pass
	return file, nil
}

func (s Sample) options() (o lamplighter.Options, err error) {
	switch strings.ToUpper(s.Pose) {
	case "", "T":
	case "A":
		o.Pose = lamplighter.A
	default:
		return o, fmt.Errorf("pose %q: want T or A", s.Pose)
	}
	switch s.Names {
	case "", "plain":
	case "snake":
		o.Names = lamplighter.Snake
	case "prefix":
		o.Names = lamplighter.Prefix
	default:
		return o, fmt.Errorf("names %q: want plain, snake or prefix", s.Names)
	}
	o.Vertices = s.Vertices
	return o, nil
}

// plant plants the first fault that is known for a check. A fault may need what an
// earlier one has taken away, a skin for instance; that is told, too.
func plant(r *rig.Rig, id string) (out *rig.Rig, err error) {
	all := lamplighter.Faults()
	i := slices.IndexFunc(all, func(f lamplighter.Fault) bool { return f.ID == id })
	if i < 0 {
		return nil, fmt.Errorf("fault %q: no fault is known for that check; rigloupe checks lists them", id)
	}
	defer func() {
		if recover() != nil {
			err = fmt.Errorf("fault %q cannot be planted after the ones named before it; name it first", id)
		}
	}()
	out, _ = all[i].On(r)
	return out, nil
}
