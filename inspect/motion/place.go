package motion

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// clipName is what a person calls a clip: its name, quoted, else its number.
func (f *Facts) clipName(c rig.Clip) string {
	if name := f.Clips[c].Name; name != "" {
		return fmt.Sprintf("clip %q", name)
	}
	return fmt.Sprintf("clip %d", c)
}

// clipNames lists clips as words.
func (f *Facts) clipNames(list []rig.Clip) string {
	var names []string
	for _, c := range list {
		names = append(names, f.clipName(c))
	}
	return exam.Listed(names)
}

// nodeNames lists nodes as words.
func (f *Facts) nodeNames(list []rig.Node) string {
	var names []string
	for _, n := range list {
		names = append(names, f.Of.name(n))
	}
	return exam.Listed(names)
}

// inClip is a moment of a clip, at some nodes.
func inClip(c rig.Clip, time float64, nodes ...rig.Node) check.Where {
	w := check.Nowhere()
	w.Clip, w.Time = c, time
	for _, n := range nodes {
		if n >= 0 {
			w.Joints = append(w.Joints, n)
		}
	}
	return w
}

// length is a further measure of a length: metres, or the file's own units where it
// says none, as BVH.
func (f *Facts) length(name string, value float64) check.Measure {
	unit, _ := f.Of.unit()
	return check.Also(name, value, unit)
}

// speed is the same of a speed.
func (f *Facts) speed(name string, value float64) check.Measure {
	_, per := f.Of.unit()
	return check.Also(name, value, per)
}

// unit is what lengths are in.
func (o *Of) unit() (length, perSecond say.Unit) {
	if o.Unstated {
		return say.FileUnits, say.FileUnitsPerSecond
	}
	return say.Metre, say.MetrePerSecond
}

// needsClip says why nothing can be told of clips.
func needsClip(f *Facts) string {
	if len(f.Clips) == 0 {
		return "no clip in this file"
	}
	return ""
}

// needsSkin is for what only a bound surface can show.
func needsSkin(f *Facts) string {
	if why := needsClip(f); why != "" {
		return why
	}
	switch {
	case f.Of.Bare:
		return noSurface
	case f.Of.Rigid:
		return "no skin in this file: its parts are rigid"
	case f.Of.Skins == 0:
		return "no skin in this file"
	}
	return ""
}

// noSurface is what is missing in a file of joints alone, as BVH is.
const noSurface = "no surface hangs on the joints of this file"

// needsBody is for what a skinned surface shows, or rigid parts.
func needsBody(f *Facts) string {
	if f.Of.Rigid {
		return needsClip(f)
	}
	return needsSkin(f)
}

// needsBones is for what the joints of a body show, or joints alone.
func needsBones(f *Facts) string {
	if why := needsBody(f); why != noSurface {
		return why
	}
	return ""
}

// worstClips files one finding over all clips that pass a limit: value answers the
// figure of a clip and whether it passes; the largest is graded and shown. The
// finding is nil when none passes. All clips stand in the place, the worst first.
func (f *Facts) worstClips(d *check.Docket, l check.Limit, name string, value func(*Clip) (float64, bool), where func(*Clip) check.Where) *check.Finding {
	var list []rig.Clip
	best, most := -1, 0.0
	for i := range f.Clips {
		if v, passes := value(&f.Clips[i]); passes {
			list = append(list, rig.Clip(i))
			if best < 0 || v > most {
				best, most = i, v
			}
		}
	}
	if best < 0 {
		return nil
	}
	found := d.Found(l, name, most, where(&f.Clips[best]))
	// The worst stands first among the names.
	order := []rig.Clip{rig.Clip(best)}
	for _, c := range list {
		if int(c) != best {
			order = append(order, c)
		}
	}
	found.Subject, found.Where.Clips = f.clipNames(order), order
	if len(list) > 1 {
		found.Measures = append(found.Measures, check.Also("clips", float64(len(list)), say.Clips))
	}
	return found
}

// allClips is worstClips of what is counted: the first measure is the sum over all clips
// that pass, and the most in one clip stands beside it.
func (f *Facts) allClips(d *check.Docket, l check.Limit, name string, count func(*Clip) (float64, bool), where func(*Clip) check.Where) *check.Finding {
	found := f.worstClips(d, l, name, count, where)
	if found == nil || len(found.Where.Clips) < 2 {
		return found
	}
	sum, most := 0.0, found.Measures[0].Value
	for _, c := range found.Where.Clips {
		n, _ := count(&f.Clips[c])
		sum += n
	}
	found.Measures[0].Value = sum
	found.Measures = append(found.Measures, check.Also("most in one clip", most, l.Unit))
	return found
}
