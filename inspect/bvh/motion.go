package bvh

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// rates of captures and players, frames a second (common practice, no source): a
// "Frame Time" that is one of these means a rate.
var rates = [...]float64{24, 25, 29.97, 30, 48, 50, 59.94, 60, 72, 90, 100, 120, 150, 200, 240, 250, 300, 500}

// fallbackRate is taken where the file gives no usable time.
const fallbackRate = 30

// noCount stands for a number of frames that is none.
const noCount = -2

// motion reads MOTION and lays it over the rig as one clip.
func (f *file) motion(r *rig.Rig) error {
	if !f.hasMotion {
		f.remark("the file has no MOTION: it holds a pose only")
		return nil
	}
	frames, dt, line := f.timing()
	b := newBuilder(f, r)
	rows, err := f.rows(b, frames)
	if err != nil {
		return err
	}
	switch {
	case frames == noCount: // said already
	case frames < 0:
		f.around(line, -1, "Frames is missing; %s", counted(rows))
	case frames != rows:
		f.around(line, -1, "Frames says %d; %s", frames, counted(rows))
	}
	if rows == 0 {
		f.remark("MOTION holds no complete row: the file holds a pose only")
		return nil
	}
	dt = f.frameTime(dt, rows, line)
	c := b.clip(clipName(f.name), dt)
	if len(c.Channels) == 0 {
		f.remark("no joint has a channel that moves it: the file holds a pose only")
		return nil
	}
	r.Clips = []rig.ClipData{c}
	return nil
}

func counted(rows int) string {
	return say.Count(rows, "complete row is there and was taken", "complete rows are there and were taken")
}

// timing reads the lines between MOTION and the first row: Frames and Frame Time in
// any order, with or without colons. frames is −1 and dt NaN where they are missing.
func (f *file) timing() (frames int, dt float64, line int) {
	s := f.scanner
	frames, dt = -1, math.NaN()
	value := func(rest string) float64 {
		// What follows the colon: on the same word, or the next ones.
		if i := strings.IndexByte(rest, ':'); i >= 0 {
			rest = rest[i+1:]
		}
		if rest == "" {
			if w := s.next(); w == ":" {
				s.word()
			} else if strings.HasPrefix(w, ":") {
				s.skip()
				s.at++
			}
		} else {
			s.at -= len(rest)
		}
		v, what := s.number()
		if what != number {
			return math.NaN()
		}
		return v
	}
	line = s.line
	for {
		w := s.next()
		low := strings.ToLower(w)
		switch {
		case strings.HasPrefix(low, "frametime"):
			s.word()
			line = s.line
			dt = value(w[len("frametime"):])
		case low == "frame":
			s.word()
			line = s.line
			if t := s.next(); strings.HasPrefix(strings.ToLower(t), "time") {
				s.word()
				dt = value(t[len("time"):])
			}
		case strings.HasPrefix(low, "frames"):
			s.word()
			line = s.line
			switch v := value(w[len("frames"):]); {
			case v >= 0 && v <= math.MaxInt32 && v == math.Trunc(v):
				frames = int(v)
			case !math.IsNaN(v):
				frames = noCount
				f.around(line, -1, "Frames is %.6g, no count; the rows that are there were taken", v)
			}
		case low == "" || isDigit(low[0]) || strings.IndexByte("+-.,", low[0]) >= 0 || low == "nan" || low == "inf":
			return frames, dt, line
		default:
			s.word()
			f.around(s.line, -1, "%q is no word of MOTION; the rest of the line was ignored", cut(w))
			s.restOfLine()
		}
	}
}

// Rows of a movement stand no farther apart than a minute and no nearer than a
// millionth of a second (common practice, no source).

// frameTime answers the seconds from row to row.
func (f *file) frameTime(dt float64, rows, line int) float64 {
	given := dt
	if dt = f.statedTime(dt, rows, line); rows > 1 && (dt > ceiling.CaptureLongest || dt < ceiling.CaptureShortest) {
		f.around(line, -1, "Frame Time %.6g is no step of a movement; %d frames a second were taken", given, fallbackRate)
		return 1.0 / fallbackRate
	}
	return dt
}

// statedTime takes what the file says as seconds, a rate or milliseconds.
func (f *file) statedTime(dt float64, rows, line int) float64 {
	switch {
	case math.IsNaN(dt):
		f.around(line, -1, "Frame Time is missing; %d frames a second were taken", fallbackRate)
	case dt <= 0:
		f.around(line, -1, "Frame Time is %.6g; %d frames a second were taken", dt, fallbackRate)
	case dt > 1 && rows > 10:
		if slices.ContainsFunc(rates[:], func(r float64) bool { return math.Abs(dt-r) < 1e-3*r }) {
			f.around(line, -1, "Frame Time %.6g would be seconds; it was taken as frames a second", dt)
			return 1 / dt
		}
		f.around(line, -1, "Frame Time %.6g would be seconds; it was taken as milliseconds", dt)
		return dt / 1000
	default:
		return dt
	}
	return 1.0 / fallbackRate
}

// rows reads numbers, not lines, until the file ends, and hands on each complete
// row. Numbers that are none keep the value of the row before. Where every line has
// the same count of numbers and that count cannot be cut into rows, the file and its
// hierarchy do not belong together: it is refused.
func (f *file) rows(b *builder, announced int) (rows int, err error) {
	s := f.scanner
	if f.columns == 0 {
		return 0, nil
	}
	row := make([]float64, f.columns)
	col, bad, badLine, begun := 0, 0, 0, 0
	last, inLine, perLine, lines, even := -1, 0, -1, 0, true
	start := s.line
	for {
		v, what := s.number()
		if what == other {
			if s.at < len(s.data) { // a stray brace
				f.around(s.line, -1, "a brace among the numbers; it was ignored")
				s.at++
				continue
			}
			break
		}
		if s.line != last {
			if last < 0 {
				start = s.line
			} else {
				even = even && (perLine < 0 || perLine == inLine)
				perLine = inLine
				lines++
			}
			last, inLine = s.line, 0
		}
		inLine++
		if col == 0 {
			begun = s.line
		}
		if what == noValue || math.Abs(v) > math.MaxFloat32 {
			if bad == 0 {
				badLine = s.line
			}
			bad++
		} else {
			row[col] = v
		}
		if col++; col == f.columns {
			b.row(row)
			rows++
			col = 0
		}
	}
	// The last line may be cut short; it counts where it is the only one.
	if perLine < 0 {
		perLine = inLine
	}
	if even && perLine > 0 && (lines > 0 || announced == 1) && f.columns%perLine != 0 && perLine%f.columns != 0 {
		return 0, f.refuse(start, "the hierarchy and the numbers are not of one file, or a CHANNELS line is wrong",
			"a row has %d numbers, but the joints have %d channels", perLine, f.columns)
	}
	if bad > 0 {
		f.around(badLine, -1, "%d values are no finite numbers, here the first; the value of the row before was kept", bad)
	}
	if col > 0 {
		f.around(begun, -1, "the last row has %d of %d numbers; it was left out", col, f.columns)
	}
	return rows, nil
}
