package say

import "strings"

// Unit is what a number counts or is measured in: what one of it is called, and many.
// The zero Unit is that of a bare number. In JSON it is Many.
type Unit struct{ One, Many string }

// Measures. Of a part of 1 that is said in per cent, Many begins with "share", "of the" or
// "× " and names the whole.
var (
	Metre              = Unit{"m", "m"}
	MetrePerSecond     = Unit{"m/s", "m/s"}
	Second             = Unit{"s", "s"}
	Degree             = Unit{"°", "°"}
	DegreePerSecond    = Unit{"°/s", "°/s"}
	Byte               = Unit{"byte", "bytes"}
	FileUnitsPerSecond = Unit{"unit/s", "units/s"} // of a file that names no unit
	OffOne             = Unit{"off 1", "off 1"}
	Winding            = Unit{"winding number", "winding number"}

	Share           = Unit{"share", "share"}
	ShareOfJoints   = Unit{"share of joints", "share of joints"}
	ShareOfClip     = Unit{"share of the clip", "share of the clip"}
	PartOfVolume    = Unit{"of the volume", "of the volume"}
	PartOfBox       = Unit{"of the box", "of the box"}
	PartOfSection   = Unit{"of the section", "of the section"}
	PartOfRadius    = Unit{"of the radius", "of the radius"}
	PartOfTriangles = Unit{"of the triangles moved", "of the triangles moved"}

	Factor               = Unit{"×", "×"}
	TimesRest            = Unit{"× rest", "× rest"}
	TimesHeight          = Unit{"× height", "× height"}
	TimesHeightPerSecond = Unit{"× height/s", "× height/s"}
	TimesDiagonal        = Unit{"× diagonal", "× diagonal"}
	TimesBone            = Unit{"× bone", "× bone"}
	TimesLength          = Unit{"× length", "× length"}
	TimesRadius          = Unit{"× radius", "× radius"}
	TimesEdge            = Unit{"× edge", "× edge"}
)

// What is counted.
var (
	Bones      = Unit{"bone", "bones"}
	Breaches   = Unit{"breach", "breaches"}
	Channels   = Unit{"channel", "channels"}
	Chains     = Unit{"chain", "chains"}
	Clips      = Unit{"clip", "clips"}
	Edges      = Unit{"edge", "edges"}
	Extensions = Unit{"extension", "extensions"}
	Faults     = Unit{"fault", "faults"}
	FileUnits  = Unit{"unit", "units"}
	Figures    = Unit{"figure", "figures"}
	Influences = Unit{"influence", "influences"}
	Joints     = Unit{"joint", "joints"}
	Keys       = Unit{"key", "keys"}
	KeySteps   = Unit{"key step", "key steps"}
	Loops      = Unit{"loop", "loops"}
	Matrices   = Unit{"matrix", "matrices"}
	Names      = Unit{"name", "names"}
	Nodes      = Unit{"node", "nodes"}
	Pairs      = Unit{"pair", "pairs"}
	Patches    = Unit{"patch", "patches"}
	Pictures   = Unit{"picture", "pictures"}
	Places     = Unit{"place", "places"}
	Roles      = Unit{"role", "roles"}
	Shells     = Unit{"shell", "shells"}
	Skeletons  = Unit{"skeleton", "skeletons"}
	Skins      = Unit{"skin", "skins"}
	Steps      = Unit{"step", "steps"}
	Surfaces   = Unit{"surface", "surfaces"}
	Targets    = Unit{"target", "targets"}
	Triangles  = Unit{"triangle", "triangles"}
	Vertices   = Unit{"vertex", "vertices"}
	Weights    = Unit{"weight", "weights"}
)

// String is how many of it are called.
func (u Unit) String() string { return u.Many }

// MarshalText writes a unit into JSON as facts.md lists it.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.Many), nil }

// Counts tells that the unit is of things that are counted.
func (u Unit) Counts() bool { return u.One != u.Many }

// Part answers of what the unit is a part, where it is one of something named: "volume".
func (u Unit) Part() (of string, is bool) {
	for _, head := range []string{"of the ", "share of the ", "share of "} {
		if of, is = strings.CutPrefix(u.Many, head); is {
			return of, true
		}
	}
	return "", false
}

// Length answers of which length the unit is a multiple, and whether by the second:
// "height", true for "× height/s".
func (u Unit) Length() (of string, per, is bool) {
	if u == TimesRest {
		return "", false, false
	}
	if of, is = strings.CutPrefix(u.Many, "× "); !is {
		return "", false, false
	}
	of, per = strings.CutSuffix(of, "/s")
	return of, per, true
}

// UnmarshalText reads what MarshalText writes; a unit that is none of this package's
// stands for one and many alike.
func (u *Unit) UnmarshalText(text []byte) error {
	for _, known := range Units() {
		if known.Many == string(text) {
			*u = known
			return nil
		}
	}
	*u = Unit{string(text), string(text)}
	return nil
}

// Units are all of this package.
func Units() []Unit {
	return []Unit{
		Metre, MetrePerSecond, Second, Degree, DegreePerSecond, Byte, FileUnitsPerSecond, OffOne, Winding, Share, ShareOfJoints, ShareOfClip, PartOfVolume, PartOfBox, PartOfSection, PartOfRadius, PartOfTriangles, Factor, TimesRest, TimesHeight, TimesHeightPerSecond, TimesDiagonal, TimesBone, TimesLength, TimesRadius, TimesEdge, Bones, Breaches, Channels, Chains, Clips, Edges, Extensions, Faults, FileUnits, Figures, Influences, Joints, Keys, KeySteps, Loops, Matrices, Names, Nodes, Pairs, Patches, Pictures, Places, Roles, Shells, Skeletons, Skins, Steps, Surfaces, Targets, Triangles, Vertices, Weights,
	}
}
