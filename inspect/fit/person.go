package fit

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Shares of segments, of Drillis and Contini 1966 as printed in Winter 2009: crotch .485,
// hip .530, knee .285, ankle .039 of stature; upper arm .186, forearm .146, hand .108. What
// is written as a share of a limb stays true for people of three heads.
const (
	hipOfFork    = .530 / .485 // where no leg was measured
	kneeOfLeg    = .246 / .491 // from the ankle to the hip
	wristOfArm   = .332 / .440 // from the shoulder to the fingertip
	ankleOfFork  = .039 / .485 // where no leg was measured
	elbowInRigs  = .53         // from the shoulder to the wrist, as H-Anim's default figure has it: .173 ÷ (.173 + .154); of life .186 / .332
	spineOfTrunk = .23         // from the hips to the neck: common practice, no source
	chestOfTrunk = .58         // likewise
	collarOfArm  = .3          // from the plane to the shoulder: common practice, no source
	headOfHead   = .14         // from the neck's narrowest place to the crown: the head's joint
	neckOfNeck   = .25         // from the neck's narrowest place down to the shoulders: the neck's joint
	beltOverHip  = .06         // of the hips' height: the belt; common practice, no source
	headOfChin   = .05         // from the chin to the crown: the head's joint; likewise
	bentLeast    = 20.0        // degrees: an elbow that is bent by more tells where it is
)

// Person proposes the skeleton of a figure on two legs, bones named as in VRM 1.0. Marks
// hold, on both sides; what lies between follows them. The error is a *Refusal.
func Person(b *Body, o Options, watch *geom.Watch) ([]Joint, error) {
	p, err := measured(b, o, watch)
	if err != nil {
		return nil, err
	}
	return p.joints(o), nil
}

// Spots are the eight places of a figure on two legs, on its left, in the world, and how sure
// each is: those that are set, the others as they are proposed. The error is a *Refusal.
func Spots(b *Body, o Options, watch *geom.Watch) (map[Mark]space.Vec, map[Mark]float64, error) {
	o.Fingers = false
	p, err := measured(b, o, watch)
	if err != nil {
		return nil, nil, err
	}
	top := p.tr.top()
	chin := chinUnder(p.head.at[1], top)
	at, sure := map[Mark]space.Vec{}, map[Mark]float64{}
	for k, is := range map[Mark]place{Chin: {p.tr.middle(chin), p.trunkSure}, Groin: {p.tr.middle(p.fork), p.forkSure}, Shoulder: p.shoulder, Elbow: p.elbow, Wrist: p.wrist, Knee: p.knee, Ankle: p.ankle, Toe: p.toe} {
		at[k], sure[k] = p.f.world(is.at), math.Round(100*is.sure)/100
	}
	for k, was := range o.Marks {
		at[k], sure[k] = was, 1
	}
	return at, sure, nil
}

// measured is a person of whom all is known that a skeleton asks for.
func measured(b *Body, o Options, watch *geom.Watch) (*person, error) {
	f, err := newFigure(b, grid, watch)
	if err != nil {
		return nil, err
	}
	m := map[Mark]space.Vec{}
	for k, at := range o.Marks {
		p := f.own(at)
		if k == Chin || k == Groin {
			p[0] = 0
		} else {
			p[0] = math.Abs(p[0])
		}
		m[k] = p
	}
	if err := f.sensible(m); err != nil {
		return nil, err
	}
	if !b.FrontSure {
		if turned, err := f.faces(); err != nil {
			return nil, err
		} else if turned {
			c := *b
			c.Front, c.FrontSure = b.Front.Mul(-1), true
			return measured(&c, o, watch)
		}
	}
	p, err := f.person(m)
	if err != nil {
		return nil, err
	}
	if watch.Err() != nil {
		return nil, &Refusal{Why: Ended}
	}
	if o.Fingers {
		p.findFingers(m)
	}
	return p, nil
}

// place is a joint of the left side or the middle, in the figure's frame.
type place struct {
	at   space.Vec
	sure float64
}

// person is what was measured of one.
type person struct {
	f    *figure
	legs *legs
	arm  *arm // nil: the shoulder, the elbow and the wrist are set
	tr   *trunk

	fork                         float64
	hip, knee, ankle, toe        place
	shoulder, elbow, wrist       place
	hips, spine, chest           place
	neck, head                   place
	tip                          space.Vec
	fingers                      [][3]space.Vec // of the left
	isBent                       bool           // the elbow is where the arm is bent
	forkSure, armSure, trunkSure float64
}

// person measures; what is marked is not looked for.
func (f *figure) person(m map[Mark]space.Vec) (*person, error) {
	p := &person{f: f}
	if err := p.lower(m); err != nil {
		return nil, err
	}
	if err := p.upper(m); err != nil {
		return nil, err
	}
	p.middle(m)
	return p, nil
}

// headOver is the height of the head's joint over a chin, chinUnder the chin whose mark puts the
// head there; top is the crown, hipOver the hip's height over a fork; all metres.
func headOver(chin, top float64) float64  { return chin + headOfChin*(top-chin) }
func chinUnder(head, top float64) float64 { return (head - headOfChin*top) / (1 - headOfChin) }
func hipOver(fork float64) float64        { return hipOfFork * fork }

// lower finds the legs.
func (p *person) lower(m map[Mark]space.Vec) error {
	f := p.f
	marked := has(m, Groin, Knee, Ankle, Toe)
	l, err := f.findLegs()
	if err != nil && !marked {
		return err
	}
	p.legs = l
	switch at, is := m[Groin]; {
	case is:
		p.fork, p.forkSure = at[1], 1
	case l == nil:
		return err
	default:
		p.fork, p.forkSure = l.fork, .6+.3*l.even
		if l.touch {
			p.forkSure -= .2
		}
	}
	y := hipOver(p.fork)
	if l != nil && !l.hem {
		y = p.fork + l.half // the head of the thigh bone: half a thigh's width above the fork
	}
	if k, a := m[Knee], m[Ankle]; has(m, Knee) && has(m, Ankle) && has(m, Groin) {
		// A thigh is as long as its shank, and no joint of it lies far from the groin.
		y = (y + min(max(2*k[1]-a[1], p.fork), p.fork+.08*f.height)) / 2
	}
	p.hip = place{space.Vec{.05 * f.height, y, 0}, p.forkSure * .9}
	p.ankle = place{space.Vec{.05 * f.height, ankleOfFork * p.fork, 0}, .3}
	if l != nil {
		p.feet(l)
		top := l.middle(min(l.fork, p.fork) * .9)
		p.hip.at[0], p.hip.at[2] = top[0], top[2]
	} else {
		p.toe = place{p.ankle.at.Add(space.Vec{0, -p.ankle.at[1] / 2, .08 * f.height}), .2}
	}
	set(&p.ankle, m, Ankle)
	p.knee = place{mix(p.ankle.at, p.hip.at, kneeOfLeg), .7 * p.forkSure}
	if l != nil && p.knee.at[1] < l.fork {
		c := l.middle(p.knee.at[1])
		p.knee.at[0], p.knee.at[2] = c[0], c[2]
	}
	set(&p.knee, m, Knee)
	if was := p.toe.at; has(m, Ankle) && !has(m, Toe) {
		p.toe.at = space.Vec{p.ankle.at[0] + was[0] - p.toe.at[0], was[1], was[2]}
	}
	set(&p.toe, m, Toe)
	if has(m, Knee) { // a thigh hangs over its knee
		p.hip.at[0] = .5*p.hip.at[0] + .5*p.knee.at[0]
	}
	return nil
}

// feet places ankle and toes out of the sections of a leg.
func (p *person) feet(l *legs) {
	f := p.f
	y, sure := ankleOfFork*l.fork, .5
	if l.over > 0 {
		y, sure = max(ankleShare*l.over, .8*y), .8*p.forkSure
	}
	over, depth := l.over, l.thin
	at := l.middle(max(y, over+f.solid.Cell))
	p.ankle = place{space.Vec{at[0], y, at[2]}, sure}
	length := l.tip - l.heel
	toe := space.Vec{l.footX, .35 * y, l.heel + ballShare*length}
	p.toe = place{toe, sure}
	if length < 1.2*depth || toe[2] < p.ankle.at[2]+.15*length {
		p.toe.sure = .3 // a foot that points nowhere
		p.toe.at[2] = max(toe[2], p.ankle.at[2]+.3*length)
	}
}

// upper finds arms, neck and head.
func (p *person) upper(m map[Mark]space.Vec) error {
	f := p.f
	if has(m, Shoulder) && has(m, Elbow) && has(m, Wrist) {
		p.armSure = 1
	} else {
		low := p.legs
		if low == nil {
			low = &legs{fork: p.fork}
		}
		if p.forkSure < 1 && low.hem {
			return &Refusal{Why: HiddenFork}
		}
		a, err := f.findArms(low)
		if err != nil {
			return err
		}
		p.arm = a
		p.armSure = .6 + .3*a.even
		p.armJoints(a)
	}
	set(&p.shoulder, m, Shoulder)
	set(&p.wrist, m, Wrist)
	if p.arm != nil && (has(m, Shoulder) || has(m, Wrist)) {
		p.elbow = place{mix(p.shoulder.at, p.wrist.at, elbowInRigs), .7}
	}
	set(&p.elbow, m, Elbow)
	if p.arm == nil {
		hand := p.wrist.at.Sub(p.elbow.at)
		p.tip = p.wrist.at.Add(hand.Mul(.108 / .146))
	}
	if share := p.fork / p.shoulder.at[1]; p.forkSure < 1 && p.legs != nil && p.legs.hidden(share) {
		return &Refusal{Why: HiddenFork, Fork: share}
	}
	t, err := f.findTrunk(p.shoulder.at[1])
	chin, marked := m[Chin]
	if err != nil && !marked {
		return err
	}
	p.tr = t
	p.trunkSure = min(.9, .55+t.valley/2)
	if top := t.top(); marked {
		p.trunkSure = .95
		p.head = place{t.middle(headOver(chin[1], top)), p.trunkSure}
		p.neck = place{t.middle((chin[1] + min(chin[1], p.shoulder.at[1])) / 2), p.trunkSure * .9}
	} else {
		neck := max(t.neck, p.shoulder.at[1])
		p.head = place{t.middle(neck + headOfHead*(top-neck)), p.trunkSure}
		p.neck = place{t.middle(neck - neckOfNeck*(neck-p.shoulder.at[1])), p.trunkSure * .9}
	}
	p.head.at[2] = p.neck.at[2] // the head reaches forward, its joint does not
	return nil
}

// armJoints places shoulder, elbow and wrist on an arm.
func (p *person) armJoints(a *arm) {
	p.tip = a.along(a.reach)
	p.shoulder = place{a.along(0), p.armSure * .85}
	p.wrist = place{a.along(wristOfArm * a.reach), p.armSure * .8}
	p.elbow = place{a.along(elbowInRigs * wristOfArm * a.reach), p.armSure * .75}
	p.bent(a)
}

// bent moves the elbow to where the arm is bent, if it is.
func (p *person) bent(a *arm) {
	best, most := -1.0, bentLeast
	for s := .28; s <= .58; s += .01 {
		d := a.reach * s
		u, v := a.along(d).Sub(a.along(d-.18*a.reach)), a.along(d+.18*a.reach).Sub(a.along(d))
		if deg := space.Angle(u, v) * 180 / math.Pi; deg > most {
			best, most = d, deg
		}
	}
	if best > 0 {
		p.elbow, p.isBent = place{a.along(best), p.armSure * .9}, true
	}
}

// middle places hips, spine and chest between the legs and the neck.
func (p *person) middle(m map[Mark]space.Vec) {
	sure := .6 * (p.forkSure + p.trunkSure) / 2
	hips := p.hip.at[1] * (1 + beltOverHip/2)
	p.hips = place{p.tr.middle(hips), sure}
	p.spine = place{p.tr.middle(hips + spineOfTrunk*(p.neck.at[1]-hips)), sure}
	p.chest = place{p.tr.middle(hips + chestOfTrunk*(p.neck.at[1]-hips)), sure}
}

// sensible refuses marks that contradict each other.
func (f *figure) sensible(m map[Mark]space.Vec) error {
	for _, k := range Marks() {
		p, is := m[k]
		if !is {
			continue
		}
		if p[1] < -.02*f.height || p[1] > 1.02*f.height || math.Abs(p[0]) > f.height || !space.Finite(p) {
			return &Refusal{Why: OddMark, Mark: k}
		}
		for _, over := range map[Mark][]Mark{Groin: {Chin, Shoulder}, Knee: {Groin, Chin, Shoulder}, Ankle: {Knee, Groin, Chin}, Toe: {Knee, Groin, Chin}}[k] {
			if q, also := m[over]; also && q[1] <= p[1] {
				return &Refusal{Why: OddMark, Mark: k}
			}
		}
	}
	return nil
}

// faces tells that the feet point against the front that was given.
func (f *figure) faces() (turned bool, err error) {
	l, err := f.findLegs()
	if err != nil {
		return false, nil // said later, where it matters
	}
	return (l.heel+l.tip)/2 < l.middle(max(l.over, ankleOfFork*l.fork) + 2*f.solid.Cell)[2]-.01*f.height, nil
}

func has(m map[Mark]space.Vec, any ...Mark) bool {
	return slices.ContainsFunc(any, func(k Mark) bool { _, ok := m[k]; return ok })
}

// set takes a mark over as it stands.
func set(p *place, m map[Mark]space.Vec, k Mark) {
	if at, ok := m[k]; ok {
		*p = place{at, 1}
	}
}

// joints lists the skeleton in the world, parents first.
func (p *person) joints(o Options) (out []Joint) {
	add := func(name string, parent int, at place) int {
		out = append(out, Joint{name, parent, p.f.world(at.at), math.Round(at.sure*100) / 100})
		return len(out) - 1
	}
	root := p.hips
	if o.AtFork {
		root = place{p.tr.middle(p.fork), p.forkSure}
	}
	hips := add("hips", -1, root)
	spine := add("spine", hips, p.spine)
	chest := add("chest", spine, p.chest)
	neck := add("neck", chest, p.neck)
	add("head", neck, p.head)
	collar := place{mix(space.Vec{0, p.shoulder.at[1], p.chest.at[2]}, p.shoulder.at, collarOfArm), p.shoulder.sure * .7}
	sides := []struct {
		name string
		side float64
	}{{"left", 1}, {"right", -1}}
	var hands []int
	for _, s := range sides {
		limb := func(parent int, names []string, places ...place) int {
			for i, n := range names {
				parent = add(s.name+n, parent, place{sided(places[i].at, s.side), places[i].sure})
			}
			return parent
		}
		hands = append(hands, limb(chest, []string{"Shoulder", "UpperArm", "LowerArm", "Hand"}, collar, p.shoulder, p.elbow, p.wrist))
		limb(hips, []string{"UpperLeg", "LowerLeg", "Foot", "Toes"}, p.hip, p.knee, p.ankle, p.toe)
	}
	for i, s := range sides {
		for d, digit := range p.fingers {
			parent := hands[i]
			for k, part := range partNames(d) {
				parent = add(s.name+digitNames[d]+part, parent, place{sided(digit[k], s.side), fingerSure})
			}
		}
	}
	return out
}

// fingerSure is how sure the joints of a finger are: its tip and its web are seen, its
// knuckle is not.
const fingerSure = .6

// findFingers looks at both hands; what only one shows is not taken. Fingers tell where the
// wrist is better than the arm does: a finger behind its knuckle is about as long as the
// palm.
func (p *person) findFingers(m map[Mark]space.Vec) {
	p.fingers = p.bothHands()
	if p.fingers == nil || p.arm == nil || has(m, Wrist) {
		return
	}
	knuckle := p.fingers[2][0]
	was := p.wrist
	p.wrist = place{p.arm.wristBehind(knuckle, p.tip, p.f.solid.Cell/2, was.at), was.sure + .1}
	again := p.bothHands()
	if again == nil {
		p.wrist = was
		return
	}
	p.fingers = again
	if !has(m, Elbow) && !p.isBent {
		p.elbow.at = p.arm.nearest(mix(p.shoulder.at, p.wrist.at, elbowInRigs))
	}
}

// palmOfFinger is the length from wrist to knuckle over that from there to the fingertip:
// 0.5 of the hand each (common practice, no source).
const palmOfFinger = 1.0

// wristBehind is where on an arm the palm behind a knuckle ends, looked for every step metres;
// else where there is no such place.
func (a *arm) wristBehind(knuckle, tip space.Vec, step float64, otherwise space.Vec) space.Vec {
	finger := knuckle.Sub(tip).Len()
	best, off := otherwise, math.Inf(1)
	for d := .4 * a.reach; d < .95*a.reach; d += step {
		at := a.along(d)
		if o := math.Abs(at.Sub(knuckle).Len() - finger*palmOfFinger); o < off && at.Sub(tip).Len() > finger {
			best, off = at, o
		}
	}
	return best
}

// bothHands are the fingers of the left hand, the mean of both; nil where not both show five.
func (p *person) bothHands() [][3]space.Vec {
	f := p.f
	left := Fingers(f.points, f.triangles, p.wrist.at, p.tip, f.watch)
	if left == nil {
		return nil
	}
	right := Fingers(f.points, f.triangles, mirrored(p.wrist.at), mirrored(p.tip), f.watch)
	if right == nil {
		return nil
	}
	return evenHands(left, right, p.tip.Sub(p.wrist.at).Len())
}

// evenHands is the mean of both hands' joints, to the left; nil where they are not alike: a fist and an
// open hand. long is the length of a hand. It writes into left.
func evenHands(left, right [][3]space.Vec, long float64) [][3]space.Vec {
	for i := range right {
		for k := range right[i] {
			if left[i][k].Sub(mirrored(right[i][k])).Len() > fingersApart*long {
				return nil
			}
			left[i][k] = mix(left[i][k], mirrored(right[i][k]), .5)
		}
	}
	return left
}

// fingersApart is, in lengths of the hand, how far the joints of both hands may miss each
// other's images.
const fingersApart = 0.2
