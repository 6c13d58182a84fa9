package lineup

import (
	"math"
	"strings"

	"rigloupe/inspect/say"
)

// Column is one thing that decides.
type Column struct {
	Key   string   `json:"key"`
	Title string   `json:"title"`
	Unit  say.Unit `json:"unit"`
	Tells string   `json:"tells"` // what stands in it
	Check string   `json:"check"` // that its cells lead to; "": the cell says
	Down  bool     `json:"down"`  // sorted largest first, when it is asked for without a way

	measure func(f *facts, r *Row) (value any, why string)
	behind  func(f *facts, r *Row) *Brief // the finding, where no single check stands behind the column
}

var columns = []Column{
	{Key: "height", Title: "height", Unit: say.Metre, Check: "intake/odd-height", Down: true,
		Tells:   "height of the figure's body at rest, gear left out",
		measure: func(f *facts, _ *Row) (any, string) { return f.ofIntake(func() any { return f.intake.Figure.Height }) }},
	{Key: "vertices", Title: "vertices", Check: "intake/heavy", Down: true,
		Tells: "stored vertices of all surfaces",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofIntake(func() any { return float64(f.intake.Vertices) })
		}},
	{Key: "triangles", Title: "triangles", Check: "surface/slivers", Down: true,
		Tells: "triangles of all surfaces; the mark is for those without area",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofIntake(func() any { return float64(f.intake.Triangles) })
		}},
	{Key: "materials", Title: "materials", Check: "intake/heavy", Down: true,
		Tells: "materials in the file; each is drawn by itself",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofIntake(func() any { return float64(f.intake.Materials) })
		}},
	{Key: "pictures", Title: "pictures", Unit: say.Byte, Check: "intake/heavy", Down: true,
		Tells: "bytes of all pictures as they lie decoded, four a pixel, smaller copies left out",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofIntake(func() any { return float64(f.intake.TextureBytesDecoded) })
		}},
	{Key: "shells", Title: "shells", Check: "surface/shells", Down: true,
		Tells: "pieces that hang together",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofSurface(func() any { return float64(f.surface.ShellsN) })
		}},
	{Key: "holes", Title: "holes", Check: "surface/boundary-edges", Down: true,
		Tells: "loops of open edges",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofSurface(func() any { return float64(f.surface.Loops) })
		}},
	{Key: "near", Title: "near pairs", Check: "surface/near-coincident", Down: true,
		Tells: "pairs of vertices almost in one place that may be welded",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofSurface(func() any { return float64(f.surface.NearPairs - f.surface.HeldApart) })
		}},
	{Key: "lopsided", Title: "lopsided", Unit: say.Share, Check: "surface/lopsided", Down: true,
		Tells:   "share of the surface's places without a partner on the other side",
		measure: lopsided},
	{Key: "skin", Title: "skin", Check: "intake/nothing-bound",
		Tells:   "skins in the file, and whether a surface hangs on their joints",
		measure: skin},
	{Key: "joints", Title: "joints", Check: "skeleton/roles", Down: true,
		Tells: "joints of all skins; the mark is for bones of a body that are not there",
		measure: func(f *facts, _ *Row) (any, string) {
			return f.ofIntake(func() any { return float64(f.intake.Joints) })
		}},
	{Key: "arms", Title: "arm pose", Check: "skeleton/rest-pose",
		Tells:   "how the arms are held at rest",
		measure: arms},
	{Key: "clips", Title: "clips", Check: "motion/no-clip", Down: true,
		Tells:   "clips in the file",
		measure: func(f *facts, _ *Row) (any, string) { return f.ofIntake(func() any { return float64(f.intake.Clips) }) }},
	{Key: "stops", Title: "stops", Down: true, Tells: "findings that will fail", measure: found("stop"), behind: first("stop")},
	{Key: "flaws", Title: "flaws", Down: true, Tells: "findings that will show", measure: found("flaw"), behind: first("flaw")},
	{Key: "notes", Title: "notes", Down: true, Tells: "findings worth knowing", measure: found("note"), behind: first("note")},
	{Key: "ready", Title: "ready to bind?",
		Tells:   "whether the surface can be bound as it is; of a figure that is bound, how well",
		measure: ready, behind: behindReady},
}

// cell fills one cell.
func (c *Column) cell(f *facts, r *Row) Cell {
	value, why := c.measure(f, r)
	if v, ok := value.(float64); ok && (math.IsNaN(v) || math.IsInf(v, 0)) {
		value, why = nil, "no number"
	}
	cell := Cell{Value: value, Check: c.Check}
	if value == nil {
		cell.Reason = why
	}
	var b *Brief
	if c.behind != nil {
		if b = c.behind(f, r); b != nil {
			cell.Check = b.ID
		} else if c.Key == "ready" && !r.Bound {
			cell.Check = "surface/ready-to-bind"
		}
	} else {
		b = r.worst(c.Check)
	}
	if v, ok := value.(string); ok {
		cell.Words = said[v]
	}
	cell.AtLeast = c.Key == "near" && f.surface != nil && !f.surface.NearAll
	if b != nil {
		cell.Grade, cell.Finding = b.Grade, b.Number
	}
	for i := range f.res.Stations {
		for _, o := range f.res.Stations[i].Checks {
			if o.ID == cell.Check {
				cell.State = o.State.String()
			}
		}
	}
	return cell
}

func (f *facts) ofIntake(value func() any) (any, string) {
	if f.intake == nil {
		return nil, f.why["intake"]
	}
	return value(), ""
}

func (f *facts) ofSurface(value func() any) (any, string) {
	if f.surface == nil {
		return nil, f.why["surface"]
	}
	return value(), ""
}

// lopsided has no value where the check does not look: its plane means nothing there.
func lopsided(f *facts, _ *Row) (any, string) {
	if f.surface == nil {
		return nil, f.why["surface"]
	}
	for i := range f.res.Stations {
		for _, o := range f.res.Stations[i].Checks {
			if o.ID == "surface/lopsided" && o.Reason != "" {
				return nil, o.Reason
			}
		}
	}
	if f.surface.BodyMirror == nil {
		return nil, "no mirror plane was found"
	}
	return f.surface.BodyMirror.UnmatchedShare, ""
}

// skin says in a word whether there is one and whether it binds something.
func skin(f *facts, r *Row) (any, string) {
	switch {
	case f.intake == nil:
		return nil, f.why["intake"]
	case f.intake.Skins == 0:
		return "none", ""
	case !r.Bound:
		return "binds nothing", ""
	}
	return "yes", ""
}

func arms(f *facts, _ *Row) (any, string) {
	switch {
	case f.skeleton == nil:
		return nil, f.why["skeleton"]
	case len(f.skeleton.Joints) == 0 && f.intake != nil && f.intake.FromSurface != nil && f.intake.FromSurface.ArmPose.Class != nil:
		return *f.intake.FromSurface.ArmPose.Class, ""
	case len(f.skeleton.Joints) == 0:
		return nil, "no skin in this file"
	case f.skeleton.ArmPose.Class == nil && f.skeleton.ArmPose.Says == "":
		return nil, "no arms recognised"
	case f.skeleton.ArmPose.Class == nil:
		return "raised", ""
	}
	return *f.skeleton.ArmPose.Class, ""
}

func found(grade string) func(*facts, *Row) (any, string) {
	return func(_ *facts, r *Row) (any, string) {
		n := 0
		for i := range r.Brief {
			if r.Brief[i].Grade == grade {
				n++
			}
		}
		return float64(n), ""
	}
}

func first(grade string) func(*facts, *Row) *Brief {
	return func(_ *facts, r *Row) *Brief {
		for i := range r.Brief {
			if r.Brief[i].Grade == grade {
				return &r.Brief[i]
			}
		}
		return nil
	}
}

// The words of the column ready.
const (
	isReady       = "ready"
	afterSteps    = "after-steps"
	notYet        = "not-yet"
	cannotTell    = "cannot-tell"
	nothingToBind = "nothing-to-bind"
	bound         = "bound"
	boundFlaws    = "bound-with-flaws"
	boundStops    = "bound-with-stops"
)

// ready is the surface's verdict where there is something to bind, and of a figure
// that is bound already what its joints and its binding are like.
func ready(f *facts, r *Row) (any, string) {
	switch {
	case f.intake == nil:
		return nil, f.why["intake"]
	case !r.Bound && f.surface == nil:
		return nil, f.why["surface"]
	case !r.Bound:
		return f.surface.Ready.Verdict, ""
	case f.skeleton == nil:
		return nil, f.why["skeleton"]
	case f.binding == nil:
		return nil, f.why["binding"]
	}
	switch b := behindReady(f, r); {
	case b == nil || b.Grade == "note":
		return bound, ""
	case b.Grade == "flaw":
		return boundFlaws, ""
	}
	return boundStops, ""
}

// behindReady is the finding that the verdict comes from.
func behindReady(_ *facts, r *Row) (w *Brief) {
	if !r.Bound {
		return r.worst("surface/ready-to-bind")
	}
	for i := range r.Brief {
		b := &r.Brief[i]
		ofBinding := !strings.HasPrefix(b.ID, "intake/") && !strings.HasPrefix(b.ID, "surface/") && b.Counts
		if ofBinding && (w == nil || gradeOf(b.Grade) > gradeOf(w.Grade)) {
			w = b
		}
	}
	return w
}
