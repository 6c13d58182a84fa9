package mend

import (
	"math"
	"strconv"
	"strings"

	"rigloupe/inspect/follow"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

const (
	sideways   = "side to side"
	foreAndAft = "front to back"
)

var swayByHand = Mend{
	ID:     "sway",
	Title:  "Swing by hand",
	Stage:  Motion,
	Beside: []string{"motion/still-chain"},
	Does: "Chains swing as they are told, without weight: to and fro so many times in a clip, each link later than the one above, bent all along if wanted; " +
		"or through degrees that are set at moments. Joints turn and nothing else changes; a loop closes where the swings are whole.",
	Source: "a sine, and through moments that are set the monotone cubic of Fritsch & Carlson 1980 (slopes: Fritsch & Butland 1984)",
	Parameters: append([]Parameter{
		{Name: "swing", Title: "Swing", Kind: Number, Unit: say.Degree, Default: 20.0, Least: 0, Most: 360, Says: "How far the end of a chain is turned to each side; its links share it."},
		{Name: "times", Title: "Times", Kind: Number, Unit: say.Factor, Default: 2.0, Least: 0, Most: 1000, Says: "Swings to and fro in a clip; a whole number closes the loop."},
		{Name: "lag", Title: "Lag", Kind: Number, Unit: say.Second, Default: 0.08, Least: 0, Most: 10, Says: "How much later each link follows the one above."},
		{Name: "curl", Title: "Curl", Kind: Number, Unit: say.Degree, Default: 0.0, Least: -720, Most: 720, Says: "How far the end of a chain is bent all along."},
		{Name: "about", Title: "Way", Kind: Choice, Default: sideways, Choices: []string{sideways, foreAndAft}, Says: "The way of the figure that they swing."},
		{Name: "set", Title: "Set at", Kind: List, Says: "Seconds and degrees, \"0.4 25\": where the end of a chain is then; any: swing and times are left aside."},
	}, chainParameters...),
	Apply: func(w *Work) error {
		h := follow.Hand{Axis: w.swingsAbout()}
		h.Swing, _ = w.Values.Number("swing")
		h.Times, _ = w.Values.Number("times")
		h.Lag, _ = w.Values.Number("lag")
		h.Curl, _ = w.Values.Number("curl")
		for _, text := range w.Values.List("set") {
			words := strings.Fields(strings.NewReplacer(":", " ", "°", " ").Replace(text))
			var p follow.HandPoint
			if len(words) != 2 || !number(words[0], &p.Seconds) || !number(words[1], &p.Degrees) {
				return w.Refuse("%q is no moment with degrees: want seconds and degrees, as in \"0.4 25\".", text)
			}
			h.Set = append(h.Set, p)
		}
		if len(h.Set) == 0 && h.Curl == 0 && (h.Swing == 0 || h.Times == 0) {
			return w.Refuse("Without swing, curl and moments that are set nothing moves.")
		}
		c, err := w.chains()
		if err != nil {
			return err
		}
		for _, clip := range c.clips {
			m := c.chains.ByHand(clip, c.loops[clip], h)
			// At a chain's end the slack of all its links adds up.
			c.put(clip, m.Channels(chainKeys*math.Pi/180/float64(c.chains.Most())))
			c.swing = max(c.swing, m.Widest)
			if c.loops[clip] && len(h.Set) == 0 && h.Times != math.Trunc(h.Times) {
				w.Leave("Clip %s is a loop, and %s swings do not close it.", c.clipName(clip), say.Plain(h.Times))
			}
		}
		return c.write()
	},
}

func number(text string, to *float64) bool {
	x, err := strconv.ParseFloat(text, 64)
	*to = x
	return err == nil && !math.IsNaN(x) && !math.IsInf(x, 0)
}

// swingsAbout is the axis of a swing, world at rest: forward for one to the sides.
func (w *Work) swingsAbout() space.Vec {
	left, _, front, ok := bodyFrame(w.Exam)
	if !ok {
		left, front = space.Vec{1, 0, 0}, space.Vec{0, 0, 1}
	}
	if w.Values.Text("about") == foreAndAft {
		return space.Direction(left)
	}
	return space.Direction(front)
}
