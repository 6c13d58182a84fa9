package mend

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var trimClip = Mend{
	ID:     "trim",
	Title:  "Trim a clip",
	Stage:  Motion,
	Beside: []string{"motion/late-start", "motion/loop-jump", "motion/stray-key", "motion/travel"},
	Does: "A clip is cut to a part of it. At the two ends keyframes are put where none stand, so that what is left is played as it was; " +
		"it begins at 0 s.",
	Source: "glTF 2.0, Appendix C: a piece of a line, of an arc and of a cubic spline are exact pieces",
	Parameters: []Parameter{
		{Name: "clip", Title: "Clip", Kind: Text, Default: "", Says: "By name or number, from 0. A file with one clip needs none."},
		{Name: "from", Title: "From", Kind: Number, Unit: say.Second, Says: "Where it begins; left out: at its first keyframe."},
		{Name: "to", Title: "To", Kind: Number, Unit: say.Second, Says: "Where it ends; left out: at its last keyframe."},
		{Name: "begin", Title: "Begins at 0", Kind: Truth, Default: true, Says: "Off: what is left stays at its moments."},
	},
	Apply: func(w *Work) error {
		i, err := w.oneClip(w.Values.Text("clip"))
		if err != nil {
			return err
		}
		c := &w.Rig.Clips[i]
		from, to := c.Start, c.Seconds
		if s, given := w.Values.Number("from"); given {
			from = s
		}
		if s, given := w.Values.Number("to"); given {
			to = min(s, c.Seconds)
		}
		shift := from
		if !w.Values.Is("begin") {
			shift = 0
		}
		switch {
		case !(to-from > leastTrim):
			return w.Refuse("From %s to %s nothing of clip %s is left: it has keyframes from %s to %s.", say.Quantity(from, say.Second), say.Quantity(to, say.Second), w.clipName(i), say.Quantity(c.Start, say.Second), say.Quantity(c.Seconds, say.Second))
		case from <= c.Start && to >= c.Seconds && shift == 0:
			return w.Refuse("Clip %s is that long already.", w.clipName(i))
		case from < 0:
			return w.Refuse("A clip has no moments before 0 s.")
		}
		is := *w.Rig
		is.Clips = slices.Clone(w.Rig.Clips)
		d := is.Clips[i]
		d.Channels = slices.Clone(d.Channels)
		was, kept := 0, 0
		for k := range d.Channels {
			if err := w.movable(i, &c.Channels[k]); err != nil {
				return err
			}
			was += len(d.Channels[k].Times)
			d.Channels[k] = partOf(&c.Channels[k], from, to, shift)
			kept += len(d.Channels[k].Times)
		}
		is.Clips[i] = d
		w.Measure(check.Also("length", to-max(from, 0), say.Second))
		w.Measure(check.Also("length before", c.Seconds-c.Start, say.Second))
		w.Measure(check.Also("keyframes", float64(kept), say.Keys))
		w.Measure(check.Also("keyframes before", float64(was), say.Keys))
		w.Say("Clip %s is left from %s to %s.", w.clipName(i), say.Quantity(from, say.Second), say.Quantity(to, say.Second))
		return w.Write(&is, nil)
	},
}

// leastTrim is the shortest part of a clip, seconds: a millisecond, under which keys in
// float32 an hour into a clip are one (value from memory: 2^-11 s there).
const leastTrim = 0.001

// partOf is a channel from one moment to another, moved back by a shift: keys at the ends
// only where it has keys beyond, since outside its keys a channel holds its ends anyway.
func partOf(c *rig.Channel, from, to, shift float64) rig.Channel {
	keys := keyList(c)
	if keys[0].at < from {
		keys = cut(c, keys, from)
	}
	if keys[len(keys)-1].at > to {
		keys = cut(c, keys, to)
	}
	left := keys[:0:0]
	for _, k := range keys {
		if k.at >= from && k.at <= to {
			k.at -= shift
			left = append(left, k)
		}
	}
	if len(left) == 0 { // all its keys lie behind the end: it holds the first
		k := keyAt(c, keys, to)
		k.at = from - shift
		left = append(left, k)
	}
	return withKeys(c, left)
}

func (w *Work) clipName(i rig.Clip) string { return clipTitle(w.Rig, i) }
