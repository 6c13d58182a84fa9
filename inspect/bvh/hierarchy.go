package bvh

import (
	"math"
	"strings"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/say"
)

// joint is one ROOT, JOINT or End Site.
type joint struct {
	name     string
	parent   int // −1 at a root
	offset   [3]float64
	channels []channel
	first    int // column of the first channel
	end      bool
	line     int
}

// channel is what one column moves.
type channel uint8

const (
	xPosition channel = iota
	yPosition
	zPosition
	xRotation
	yRotation
	zRotation
	ignored // scales, and words that are not known
)

func (c channel) isPosition() bool { return c <= zPosition }
func (c channel) isRotation() bool { return c >= xRotation && c <= zRotation }

// word of the format.
type word uint8

const (
	none word = iota
	openBrace
	closeBrace
	hierarchyWord
	rootWord
	jointWord
	endWord
	endSiteWord
	offsetWord
	channelsWord
	motionWord
)

func keyword(s string) word {
	switch strings.ToLower(s) {
	case "{":
		return openBrace
	case "}":
		return closeBrace
	case "hierarchy":
		return hierarchyWord
	case "root":
		return rootWord
	case "joint":
		return jointWord
	case "end":
		return endWord
	case "endsite", "end_site":
		return endSiteWord
	case "offset":
		return offsetWord
	case "channels":
		return channelsWord
	case "motion":
		return motionWord
	}
	return none
}

// channelOf reads a channel's name: axis letter, then position or rotation.
func channelOf(s string) (c channel, ok bool) {
	s = strings.ToLower(s)
	if s == "" || s[0] < 'x' || s[0] > 'z' {
		return ignored, false
	}
	axis := channel(s[0] - 'x')
	switch strings.Trim(s[1:], "_-.") {
	case "position", "pos", "translation", "trans":
		return axis, true
	case "rotation", "rot":
		return xRotation + axis, true
	case "scale", "scaling":
		return ignored, true
	}
	return ignored, false
}

// hierarchy reads the tree. It walks without recursion; surplus braces are
// read around; a tree that does not close is refused.
func (f *file) hierarchy() error {
	s := f.scanner
	if err := f.begin(); err != nil {
		return err
	}
	t := tree{f: f, pending: -1}
	for {
		w := s.word()
		line := s.line
		k := keyword(w)
		if w == "" || k == motionWord {
			f.hasMotion = w != ""
			if err := t.closed(line); err != nil {
				return err
			}
			break
		}
		if len(f.joints)*jointBytes > ceiling.NumbersBase+ceiling.ObjectsPerByte*len(s.data) {
			return f.refuse(line, "check that this is the file that was sent", "%d joints are more than such a small file can honestly hold", len(f.joints))
		}
		if t.pending >= 0 && k != openBrace {
			f.around(line, t.pending, "%q has no opening brace; it was taken as opened", f.joints[t.pending].name)
			if err := t.open(line); err != nil {
				return err
			}
		}
		var err error
		switch k {
		case openBrace:
			err = t.open(line)
		case closeBrace:
			if len(t.stack) == 0 {
				f.around(line, -1, "a closing brace too many; it was ignored")
				continue
			}
			t.stack = t.stack[:len(t.stack)-1]
		case rootWord:
			err = t.root(line)
		case jointWord:
			t.joint(line)
		case endWord, endSiteWord:
			t.end(k, line)
		case offsetWord:
			err = f.offset(t.top(), line)
		case channelsWord:
			err = f.channels(t.top(), line)
		case hierarchyWord:
			f.around(line, -1, "the word HIERARCHY stands here again; it was ignored")
		default:
			f.around(line, t.top(), "%q is no word of the format; the rest of the line was ignored", cut(w))
			s.restOfLine()
		}
		if err != nil {
			return err
		}
	}
	if len(f.joints) == 0 {
		return f.refuse(s.line, "fetch the file again; nothing of its skeleton is there", "the hierarchy holds no joint")
	}
	return nil
}

// begin reads the word HIERARCHY; a file that begins with ROOT is read around.
func (f *file) begin() error {
	s := f.scanner
	w := s.next()
	if keyword(w) == hierarchyWord {
		s.word()
		return nil
	}
	if keyword(w) != rootWord {
		s.skip()
		return f.refuse(s.line, "check that this is a BVH file", "the word HIERARCHY is missing; the file begins with %q", cut(w))
	}
	f.around(s.line, -1, "the word HIERARCHY is missing; the tree was read from its first ROOT on")
	return nil
}

// tree is where the reading of a hierarchy stands.
type tree struct {
	f       *file
	stack   []int // joints whose braces are open; −1 for a brace that belongs to none
	pending int   // joint that waits for its brace, −1
}

// top is the joint that a line is about, −1 for none.
func (t *tree) top() int {
	if t.pending >= 0 {
		return t.pending
	}
	if len(t.stack) > 0 {
		return t.stack[len(t.stack)-1]
	}
	return -1
}

// open takes an opening brace, of the pending joint or of none.
func (t *tree) open(line int) error {
	if t.pending < 0 {
		t.f.around(line, -1, "an opening brace belongs to no joint; it was ignored")
		if t.stack = append(t.stack, -1); len(t.stack) > ceiling.CaptureDepth {
			return t.f.refuse(line, "check the braces before this line", "braces stand more than %d deep in each other", ceiling.CaptureDepth)
		}
		return nil
	}
	t.stack = append(t.stack, t.pending)
	if t.pending = -1; len(t.stack) > ceiling.CaptureDepth {
		return t.f.refuse(line, "check the closing braces before this line", "joints hang more than %d deep in each other", ceiling.CaptureDepth)
	}
	return nil
}

// closed refuses a tree that still has open braces where it must end.
func (t *tree) closed(line int) error {
	n := len(t.stack)
	if n == 0 && t.pending < 0 {
		return nil
	}
	where := "before MOTION"
	if !t.f.hasMotion {
		where = "at the end of the file"
	}
	return t.f.refuse(line, "fetch the file again, or close the braces of its tree: a guess would hang joints wrongly",
		"the tree of joints does not close: %d closing %s missing %s", max(n, 1), say.Word(max(n, 1), "brace is", "braces are"), where)
}

// root takes the word ROOT.
func (t *tree) root(line int) error {
	f := t.f
	if in := owner(t.stack); in >= 0 {
		return f.refuse(line, "close the braces before it: a guess would hang joints wrongly", "a ROOT begins before %q is closed", f.joints[in].name)
	}
	t.stack = t.stack[:0]
	t.pending = f.add(-1, f.scanner.name(), false, line)
	return nil
}

// joint takes the word JOINT.
func (t *tree) joint(line int) {
	f := t.f
	on, name := owner(t.stack), f.scanner.name()
	if on < 0 {
		f.around(line, -1, "JOINT %q hangs on nothing; it was read as a ROOT", name)
	} else if f.joints[on].end {
		f.around(line, on, "JOINT %q hangs on an End Site; it was hung there", name)
	}
	t.pending = f.add(on, name, false, line)
}

// end takes End Site, also without the second word.
func (t *tree) end(k word, line int) {
	f, s := t.f, t.f.scanner
	if k == endWord {
		if strings.EqualFold(s.next(), "site") {
			s.word()
		} else {
			f.around(line, -1, "the word Site is missing after End")
		}
	}
	on, name := owner(t.stack), s.name()
	if name == "" && on >= 0 {
		name = strings.TrimSpace(f.joints[on].name + " end")
	}
	t.pending = f.add(on, name, true, line)
}

// owner is the innermost joint of the open braces.
func owner(stack []int) int {
	for i := len(stack) - 1; i >= 0; i-- {
		if stack[i] >= 0 {
			return stack[i]
		}
	}
	return -1
}

// A joint of the text takes eight bytes, "ROOT r{}", and about a kilobyte when it is
// read and examined. So what the joints take is counted against the size of the file by
// the rule that the objects of glTF files are read by.
const jointBytes = 1000

func (f *file) add(parent int, name string, end bool, line int) int {
	f.joints = append(f.joints, joint{name: name, parent: parent, end: end, line: line, first: f.columns})
	return len(f.joints) - 1
}

// offset reads three numbers.
func (f *file) offset(j, line int) error {
	var v [3]float64
	for i := range v {
		x, what := f.scanner.number()
		switch {
		case what == other:
			return f.refuse(line, "mend that line", "OFFSET wants three numbers and has %d", i)
		case what == noValue || math.Abs(x) > math.MaxFloat32:
			return f.refuse(line, "mend that line: a guess would move the joint", "OFFSET wants three numbers, and the %s is none that can be used", [...]string{"first", "second", "third"}[i])
		}
		v[i] = x
	}
	if j < 0 {
		f.around(line, -1, "OFFSET stands outside any joint; it was ignored")
		return nil
	}
	f.joints[j].offset = v
	return nil
}

// channels reads a count and that many names; where the two differ the names count.
func (f *file) channels(j, line int) error {
	s := f.scanner
	x, what := s.number()
	if what != number || x != math.Trunc(x) || x < 0 || x > ceiling.CaptureChannels {
		return f.refuse(line, "write how many channels follow", "CHANNELS wants a whole number")
	}
	var list []channel
	for {
		w := s.next()
		c, ok := channelOf(w)
		if !ok && (len(list) >= int(x) || w == "" || keyword(w) != none) {
			break
		}
		s.word()
		if !ok {
			f.around(s.line, j, "channel %q is not known; its column was left out", cut(w))
		}
		list = append(list, c)
	}
	if len(list) != int(x) {
		f.around(line, j, "CHANNELS announces %d and names %d; the names were taken", int(x), len(list))
	}
	switch {
	case j < 0:
		f.around(line, -1, "CHANNELS stands outside any joint; its columns were left out")
		f.columns += len(list)
		return nil
	case len(f.joints[j].channels) > 0:
		f.around(line, j, "%q has CHANNELS twice; the second list was left out, its columns too", f.joints[j].name)
		f.columns += len(list)
		return nil
	case f.joints[j].end && len(list) > 0:
		f.around(line, j, "an End Site has CHANNELS; it was read as a joint")
	}
	f.joints[j].channels, f.joints[j].first = list, f.columns
	f.columns += len(list)
	return nil
}

// cut keeps a text from a file short.
func cut(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
