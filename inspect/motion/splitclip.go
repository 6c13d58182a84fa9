package motion

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Split is a set of clips that look like one movement cut up: the same span, each
// for one node, no node twice.
type Split struct {
	Clips []rig.Clip `json:"clips"`
	Nodes []rig.Node `json:"nodes"`
}

// fewestSplit is how many such clips it takes.
const fewestSplit = 3

// splits sorts the clips of one node by span.
func splits(r *rig.Rig) (out []Split) {
	type span struct{ from, to float64 }
	at := map[span]int{}
	for i := range r.Clips {
		c := &r.Clips[i]
		if len(c.Channels) == 0 {
			continue
		}
		n, one := c.Channels[0].Node, true
		for k := range c.Channels {
			one = one && c.Channels[k].Node == n
		}
		if !one || n < 0 {
			continue
		}
		// To a thousandth of a second: times are float32.
		s := span{math.Round(c.Start * 1000), math.Round(c.Seconds * 1000)}
		k, ok := at[s]
		if !ok {
			k = len(out)
			at[s] = k
			out = append(out, Split{})
		}
		out[k].Clips = append(out[k].Clips, rig.Clip(i))
		out[k].Nodes = append(out[k].Nodes, n)
	}
	kept := out[:0]
	for _, s := range out {
		seen, twice := map[rig.Node]bool{}, false
		for _, n := range s.Nodes {
			twice = twice || seen[n]
			seen[n] = true
		}
		if len(s.Clips) >= fewestSplit && !twice {
			kept = append(kept, s)
		}
	}
	return kept
}

var splitClip = check.Check[Facts]{
	ID:      "motion/split-clip",
	Title:   "One movement, several clips",
	Measure: "clips of the same span that move one node each, no node twice; clips without a name or with one that another has",
	Limits: []check.Limit{
		{Name: "clips", Unit: say.Clips, Value: fewestSplit, Grade: check.Flaw, Reached: true},
		{Name: "names", Unit: say.Clips, Value: 0, Grade: check.Note},
	},
	Why: "Players play one clip at a time, so a movement that was written as one clip a node never comes together. " +
		"Clips without a name of their own cannot be asked for.",
	Remedy: "Export the movement as one clip: gather the tracks of all nodes under one name first.\n" +
		"Give each clip a name of its own.",
	Source: "glTF 2.0, Animations: an animation holds the channels of any number of nodes, and names need not be unique; that players play one is common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		clips, names := d.Limit("clips"), d.Limit("names")
		for _, s := range f.Split {
			if n := float64(len(s.Clips)); n >= clips.Value {
				where := inClip(s.Clips[0], f.Clips[s.Clips[0]].Start)
				where.Nodes, where.Clips = s.Nodes, s.Clips
				found := d.Found(clips, "clips", n, where)
				found.Subject = f.clipNames(s.Clips)
			}
		}
		count := map[string]int{}
		for i := range f.Clips {
			count[string(f.Clips[i].Name)]++
		}
		var list []rig.Clip
		for i := range f.Clips {
			if name := f.Clips[i].Name; name == "" || count[string(name)] > 1 {
				list = append(list, rig.Clip(i))
			}
		}
		if n := float64(len(list)); n > names.Value {
			where := inClip(list[0], f.Clips[list[0]].Start)
			where.Clips = list
			found := d.Found(names, "clips", n, where)
			found.Title = "Clips without own names"
			found.Subject = f.clipNames(list)
		}
	},
}
