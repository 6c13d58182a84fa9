package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var deadWeight = check.Check[Facts]{
	ID:      "motion/dead-weight",
	Title:   "Keys that do nothing",
	Measure: "channels that say the rest pose all along, or move what carries nothing, as a share of all; bytes of their values and of keys that interpolation gives without them",
	Limits: []check.Limit{
		{Name: "share", Unit: say.Share, Value: 0.5, Grade: check.Note},
		{Name: "bytes", Unit: say.Byte, Value: 1 << 20, Grade: check.Note},
	},
	Why: "Such redundant keys change no pose and are loaded all the same, on every start. " +
		"An export that writes every channel of every joint at every frame makes most of a file of them.",
	Remedy: "Export only channels that are keyed, without one key a frame, or thin the keys afterwards.\n" +
		"Keep a first key on every joint where clips are blended into each other.",
	Source: "glTF 2.0, Animations: what no channel names keeps its rest value; tolerances 0.01° and a hundred thousandth of the diagonal; the limits are common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		share, bytes := d.Limit("share"), d.Limit("bytes")
		channels, dead, spare, keys, size := 0, 0, 0, 0, 0
		worst := 0
		for i := range f.Clips {
			c := &f.Clips[i]
			channels += c.Channels
			dead += c.Dead + c.Idle
			spare += c.Spare
			keys += c.Keys
			size += c.DeadBytes
			if c.DeadBytes > f.Clips[worst].DeadBytes {
				worst = i
			}
		}
		if channels == 0 {
			return
		}
		part := float64(dead) / float64(channels)
		where := inClip(f.Clips[worst].Clip, f.Clips[worst].Start)
		var found *check.Finding
		switch {
		case part > share.Value:
			found = d.Found(share, "share of the channels", part, where)
			found.Measures = append(found.Measures, check.Also("bytes", float64(size), say.Byte))
		case float64(size) > bytes.Value:
			found = d.Found(bytes, "bytes", float64(size), where)
			found.Measures = append(found.Measures, check.Also("share of the channels", part, say.Share))
		default:
			return
		}
		found.Subject = "most in " + f.clipName(f.Clips[worst].Clip)
		found.Measures = append(found.Measures, check.Also("idle channels", float64(dead), say.Channels), check.Also("channels", float64(channels), say.Channels),
			check.Also("spare keys", float64(spare), say.Keys), check.Also("keys", float64(keys), say.Keys))
	},
}
