package e2e

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// touch tells the browser where the fingers are: none is all lifted.
func (p *tab) touch(kind input.DispatchTouchEventType, at ...[2]float64) {
	p.t.Helper()
	points := []*input.TouchPoint{}
	for i, xy := range at {
		points = append(points, &input.TouchPoint{X: xy[0], Y: xy[1], ID: new(float64(i))})
	}
	_, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
	p.must(err)
}

// TestTouch: one finger turns, two bring nearer or farther and shift, a tap on a joint
// chooses it, and a finger that rests on it probes the surface under it.
func TestTouch(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 390, 844)
	p.sample()
	type eye struct {
		Yaw, Scale float64
		Target     [3]float64
	}
	now := func() eye {
		p.poll("at rest", `stage.state().fine`)
		v := eval[[]float64](p, `(() => { const c = stage.state().camera; return [c.yaw, c.scale, ...c.target]; })()`)
		return eye{v[0], v[1], [3]float64(v[2:5])}
	}
	box := eval[[]float64](p, `(() => { const r = document.getElementById('pad').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	x, y := box[0], box[1]
	a := now()
	p.touch("touchStart", [2]float64{x, y})
	for d := 10.; d <= 60; d += 10 {
		p.touch("touchMove", [2]float64{x + d, y})
	}
	p.touch("touchEnd")
	b := now()
	// The camera turns 180° in 600 pixels; the first 4 are no drag yet.
	if turn := math.Abs(b.Yaw - a.Yaw); turn < 50*math.Pi/600 || turn > 60*math.Pi/600+1e-6 || b.Scale != a.Scale {
		t.Errorf("a finger moved by 60 px turns by %.3f rad, scale %g to %g", turn, a.Scale, b.Scale)
	}
	p.touch("touchStart", [2]float64{x - 30, y}, [2]float64{x + 30, y})
	for d := 35.; d <= 60; d += 5 {
		p.touch("touchMove", [2]float64{x - d, y}, [2]float64{x + d, y})
	}
	p.touch("touchEnd")
	c := now()
	if k := c.Scale / b.Scale; k < 1.8 || k > 2.2 || c.Yaw != b.Yaw {
		t.Errorf("fingers twice as far apart bring it nearer by %.2f, turned by %g", k, c.Yaw-b.Yaw)
	}
	p.touch("touchStart", [2]float64{x - 20, y}, [2]float64{x + 20, y})
	for d := 5.; d <= 40; d += 5 {
		p.touch("touchMove", [2]float64{x - 20, y + d}, [2]float64{x + 20, y + d})
	}
	p.touch("touchEnd")
	d := now()
	if px := math.Hypot(math.Hypot(d.Target[0]-c.Target[0], d.Target[1]-c.Target[1]), d.Target[2]-c.Target[2]) * c.Scale; math.Abs(px-40) > 6 || math.Abs(d.Scale/c.Scale-1) > .1 {
		t.Errorf("two fingers down by 40 px shift it by %.1f, nearer by %.2f", px, d.Scale/c.Scale)
	}
	eval[any](p, `stage.frameAll(); 0`)
	now()
	find := func() []float64 {
		t.Helper()
		v := eval[[]float64](p, `(() => { const r = document.getElementById('pad').getBoundingClientRect(); for (let y = r.top + 80; y < r.bottom - 90; y += 2) for (let x = r.left + 60; x < r.right - 60; x += 2) { const h = stage.pick(x, y); if (h.kind === 'joint' && h.surface >= 0 && document.elementFromPoint(x, y)?.id === 'pad') return [x, y, h.node, h.surface, h.vertex]; } return []; })()`)
		if len(v) != 5 {
			t.Fatal("no joint over a surface is in sight")
		}
		return v
	}
	chosen := func(what, js string) {
		t.Helper()
		p.poll(what, `import('./js/state/desk.js').then(({ desk }) => `+js+`)`)
	}
	// On a busy machine a tap may last long enough to be a probe: it is made again until it is one.
	tapped := false
	for end := time.Now().Add(patience); !tapped && time.Now().Before(end); {
		joint := find()
		p.touch("touchStart", [2]float64{joint[0], joint[1]})
		p.touch("touchEnd")
		p.still()
		now()
		tapped = eval[bool](p, fmt.Sprintf(`import('./js/state/desk.js').then(({ desk }) => desk.chosen.kind === 'joint' && desk.chosen.node === %g)`, joint[2]))
	}
	if !tapped {
		t.Fatalf("no tap chose a joint; chosen is %s", eval[string](p, `import('./js/state/desk.js').then(({ desk }) => JSON.stringify(desk.chosen))`))
	}
	joint := find() // the lens has another scale, and the figure another room
	at := [2]float64{joint[0], joint[1]}
	p.touch("touchStart", at)
	chosen("the vertex under it", fmt.Sprintf(`desk.chosen.kind === 'vertex' && desk.chosen.surface === %g && desk.chosen.vertex === %g`, joint[3], joint[4]))
	p.touch("touchEnd")
	p.still()
	chosen("still the vertex", `desk.chosen.kind === 'vertex'`)
	p.clean()
}
