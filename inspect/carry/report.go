package carry

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
)

// Report says what a carrying kept and what it lost. Lengths are in the target's
// unit (metres in glTF), speeds a second, angles in degrees.
type Report struct {
	SourceClip rig.Clip  `json:"source_clip"`
	SourceName rig.Name  `json:"source_name"` // null: it has none
	Name       string    `json:"name"`        // of the new clip
	Scale      float64   `json:"scale"`
	ScaleFrom  string    `json:"scale_from"`
	Height     float64   `json:"target_height"`
	Frames     int       `json:"frames"`
	Looked     int       `json:"looked"`         // moments at which bones and ranges were looked at, evenly spread
	Surface    int       `json:"looked_surface"` // of them, those at which the lowest point was looked for
	Seconds    float64   `json:"seconds"`
	Limbs      []Limb    `json:"limbs"`
	Feet       []Foot    `json:"feet"`
	HipsDrop   float64   `json:"hips_lowered_m"` // most that the hips came down so that a foot could reach
	HipsRise   float64   `json:"hips_raised_m"`  // most that they rose so that a knee need not fold too far
	Price      Price     `json:"keeping_feet"`
	Ground     Ground    `json:"ground"`
	Beyond     []Beyond  `json:"beyond_range"`
	Still      [][]Joint `json:"still_chains"` // target joints with surface on them that nothing drives, chain by chain
	Lost       []Joint   `json:"lost"`         // source joints that move and lead nothing
	Remarks    []string  `json:"remarks"`
	Motion     []Moved   `json:"motion"` // what the station Motion finds in the result
	Said       string    `json:"said"`   // the whole in one sentence
	Rows       []Row     `json:"rows"`   // what to look at, the weightiest first; then what is as it should be
}

// Joint names a node.
type Joint struct {
	Node rig.Node `json:"node"`
	Name rig.Name `json:"name"`
}

// Limb compares the directions of the bones of one limb with the source's.
type Limb struct {
	Name    string  `json:"name"` // "left arm", "trunk" …
	Bones   int     `json:"bones"`
	Mean    float64 `json:"mean_degrees"`
	Largest float64 `json:"largest_degrees"`
	Worst   Joint   `json:"worst"`
	Time    float64 `json:"worst_time"`
}

// Foot tells of one foot while it stands, as package gait and Motion measure it: how
// much of the clip, and the mean level speed of what it stands on, ankle or toes: in the
// source (in the target's size), by the turns alone and in the finished clip.
type Foot struct {
	Side      string  `json:"side"`
	StandsIn  float64 `json:"source_stands_share"` // of the clip, in the source
	Stands    float64 `json:"stands_share"`        // of the clip, in the result
	Source    float64 `json:"source_m_s"`
	Before    float64 `json:"before_m_s"`
	After     float64 `json:"after_m_s"`
	Largest   float64 `json:"after_largest_m_s"`
	LargestAt float64 `json:"after_largest_time"`
	LetGo     float64 `json:"let_go_s"` // that it stands in the source and could not be kept
	Free      float64 `json:"free_s"`   // that it stands in the result and nothing holds it, since the source's does not stand then
	Held      float64 `json:"held_m_s"` // speed while it stands and is held
	// Slide over the whole clip, each frame's way weighted by nearness (gait.Slide).
	SlideBefore float64 `json:"slide_before_m"`
	SlideAfter  float64 `json:"slide_after_m"`
}

// Ground tells how the result stands to the floor, which is where the rest pose's
// soles are.
type Ground struct {
	Lowest float64 `json:"lowest_m"` // below zero: through the floor
	Time   float64 `json:"lowest_time"`
	Under  float64 `json:"under_share"` // of the frames looked at, deeper than 1 % of the height
	By     string  `json:"by"`          // "surface" or "joints"
}

// Moved is a finding of the station Motion on the result.
type Moved struct {
	ID       string `json:"id"`
	Grade    string `json:"grade"`
	Text     string `json:"text"`
	InSource bool   `json:"in_source"` // the source's clip has it too
	more     int
}

// Row is one thing to know, in words.
type Row struct {
	Grade string   `json:"grade"` // "flaw", "note"; "": as it should be, or the rest
	Text  string   `json:"text"`
	Time  *float64 `json:"time"` // seconds into the clip at which it shows best, null: none
}

// Beyond is a joint that turns farther about an axis than a healthy adult's.
type Beyond struct {
	Joint   Joint   `json:"joint"`
	Role    string  `json:"role"`
	Axis    string  `json:"axis"`          // flexion, abduction, rotation
	Degrees float64 `json:"degrees"`       // from the anatomical zero (a straight knee), at worst
	Limit   float64 `json:"limit_degrees"` // likewise
	Time    float64 `json:"time"`          // of the worst
	Share   float64 `json:"share"`         // of the moments looked at
	Source  string  `json:"source"`        // of the limit
}

// Version is that of the report's meanings. 2: feet are measured as the station Motion
// does, ranges from the anatomical zero, soles by the surface.
const Version = 2

// All carries several clips of a match and measures each. An error names its clip.
func All(ctx context.Context, m *match.Match, clips []rig.Clip, o Options) (done []*Result, reports []Report, err error) {
	target := *m.T.Rig
	for _, c := range clips {
		r, err := Carry(ctx, m, c, o)
		if err != nil {
			return nil, nil, err
		}
		rep, err := r.Inspect(ctx, o.Tick)
		if err != nil {
			return nil, nil, err
		}
		r.Clip.Name = freeName(&target, o.Taken, r.Clip.Name)
		rep.Name = r.Clip.Name
		target.Clips = append(target.Clips[:len(target.Clips):len(target.Clips)], r.Clip)
		done, reports = append(done, r), append(reports, *rep)
	}
	return done, reports, nil
}

// freeName is the name, or the name with a number where the rig has a clip of that
// name, or it is taken: players find clips by it.
func freeName(r *rig.Rig, names []string, name string) string {
	taken := func(s string) bool {
		return slices.Contains(names, s) || slices.ContainsFunc(r.Clips, func(c rig.ClipData) bool { return c.Name == s })
	}
	if name == "" {
		name = "carried"
	}
	if !taken(name) {
		return name
	}
	for i := 2; ; i++ {
		if s := fmt.Sprintf("%s %d", name, i); !taken(s) {
			return s
		}
	}
}

// Document holds the reports of one match, as WriteJSON writes it.
type Document struct {
	Carry  int      `json:"carry"` // Version
	Source string   `json:"source"`
	Target string   `json:"target"`
	Pairs  int      `json:"pairs"`
	Clips  []Report `json:"clips"`
}

// Several is what became of several sources that were carried onto one target.
type Several struct {
	Carry   int      `json:"carry"` // Version
	Target  string   `json:"target"`
	Sources []Source `json:"sources"`
}

// Source is what became of one of them.
type Source struct {
	Source string   `json:"source"`
	Error  string   `json:"error"` // nothing was carried over, and why; "": something was
	Pairs  int      `json:"pairs"`
	Wrote  string   `json:"wrote"` // the file with its clips; "": none was asked for
	Clips  []Report `json:"clips"`
	Failed []Failed `json:"failed"`
}

// Failed is a clip that could not be carried over.
type Failed struct {
	Clip rig.Clip `json:"source_clip"`
	Name rig.Name `json:"source_name"`
	Why  string   `json:"why"`
}

// WriteJSON writes what became of several sources.
func (s *Several) WriteJSON(w io.Writer) error { return write(w, s) }

// WriteJSON writes the reports of one match.
func WriteJSON(w io.Writer, m *match.Match, reports []Report) error {
	return write(w, Document{Version, m.S.Rig.File.Name, m.T.Rig.File.Name, len(m.Pairs), reports})
}

func write(w io.Writer, d any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(d)
}
