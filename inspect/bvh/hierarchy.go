package bvh

import (
	"math"
	"strings"

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
	if w := s.next(); keyword(w) != hierarchyWord {
		if keyword(w) != rootWord {
			s.skip()
			return f.refuse(s.line, "check that this is a BVH file", "the word HIERARCHY is missing; the file begins with %q", cut(w))
		}
		f.around(s.line, -1, "the word HIERARCHY is missing; the tree was read from its first ROOT on")
	} else {
		s.word()
	}
	var stack []int // joints whose braces are open
	pending := -1   // joint that waits for its brace
	top := func() int {
		if pending >= 0 {
			return pending
		}
		if len(stack) > 0 {
			return stack[len(stack)-1]
		}
		return -1
	}
	open := func(line int) error {
		if pending < 0 {
			return nil
		}
		stack = append(stack, pending)
		pending = -1
		if len(stack) > mostDepth {
			return f.refuse(line, "check the closing braces before this line", "joints hang more than %d deep in each other", mostDepth)
		}
		return nil
	}
	for {
		w := s.word()
		line := s.line
		k := keyword(w)
		if w == "" || k == motionWord {
			f.hasMotion = w != ""
			if open := len(stack); open > 0 || pending >= 0 {
				where := "before MOTION"
				if w == "" {
					where = "at the end of the file"
				}
				return f.refuse(line, "fetch the file again, or close the braces of its tree: a guess would hang joints wrongly",
					"the tree of joints does not close: %d closing %s missing %s", max(open, 1), say.Word(max(open, 1), "brace is", "braces are"), where)
			}
			break
		}
		if len(f.joints)*jointBytes > growthBase+growth*len(s.data) {
			return f.refuse(line, "check that this is the file that was sent", "%d joints are more than such a small file can honestly hold", len(f.joints))
		}
		if pending >= 0 && k != openBrace {
			f.around(line, pending, "%q has no opening brace; it was taken as opened", f.joints[pending].name)
			if err := open(line); err != nil {
				return err
			}
		}
		switch k {
		case openBrace:
			if pending < 0 {
				f.around(line, -1, "an opening brace belongs to no joint; it was ignored")
				stack = append(stack, -1)
				if len(stack) > mostDepth {
					return f.refuse(line, "check the braces before this line", "braces stand more than %d deep in each other", mostDepth)
				}
				continue
			}
			if err := open(line); err != nil {
				return err
			}
		case closeBrace:
			if len(stack) == 0 {
				f.around(line, -1, "a closing brace too many; it was ignored")
				continue
			}
			stack = stack[:len(stack)-1]
		case rootWord:
			if t := owner(stack); t >= 0 {
				return f.refuse(line, "close the braces before it: a guess would hang joints wrongly", "a ROOT begins before %q is closed", f.joints[t].name)
			}
			stack = stack[:0]
			pending = f.add(-1, s.name(), false, line)
		case jointWord:
			t := owner(stack)
			name := s.name()
			if t < 0 {
				f.around(line, -1, "JOINT %q hangs on nothing; it was read as a ROOT", name)
			} else if f.joints[t].end {
				f.around(line, t, "JOINT %q hangs on an End Site; it was hung there", name)
			}
			pending = f.add(t, name, false, line)
		case endWord, endSiteWord:
			if k == endWord {
				if strings.EqualFold(s.next(), "site") {
					s.word()
				} else {
					f.around(line, -1, "the word Site is missing after End")
				}
			}
			t := owner(stack)
			name := s.name()
			if name == "" && t >= 0 {
				name = strings.TrimSpace(f.joints[t].name + " end")
			}
			pending = f.add(t, name, true, line)
		case offsetWord:
			if err := f.offset(top(), line); err != nil {
				return err
			}
		case channelsWord:
			if err := f.channels(top(), line); err != nil {
				return err
			}
		case hierarchyWord:
			f.around(line, -1, "the word HIERARCHY stands here again; it was ignored")
		default:
			f.around(line, top(), "%q is no word of the format; the rest of the line was ignored", cut(w))
			s.restOfLine()
		}
	}
	if len(f.joints) == 0 {
		return f.refuse(s.line, "fetch the file again; nothing of its skeleton is there", "the hierarchy holds no joint")
	}
	return nil
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
// the rule that glTF files are read by: 64 times its bytes and 32 MiB.
const (
	jointBytes = 1000
	growth     = 64
	growthBase = 32 << 20
)

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
	if what != number || x != math.Trunc(x) || x < 0 || x > 1000 {
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
