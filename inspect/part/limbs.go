package part

import "rigloupe/inspect/space"

// Joint is one that both figures have.
type Joint struct {
	From, To space.Vec // where it stands on each
	Below    []int     // the nearest such joints below it
	Above    int       // the nearest above, −1: none
}

// Limb is how what one joint holds is laid on: p ↦ M·p + Shift, M row by row.
type Limb struct {
	M     [9]float64
	Shift space.Vec
}

// Point carries a place, Way a direction.
func (l *Limb) Point(p space.Vec) space.Vec { return l.Way(p).Add(l.Shift) }
func (l *Limb) Way(d space.Vec) (out space.Vec) {
	for r := range 3 {
		out[r] = l.M[3*r]*d[0] + l.M[3*r+1]*d[1] + l.M[3*r+2]*d[2]
	}
	return out
}

// mostDrawn is how far a bone is drawn out or pressed along its length, beyond the factor of
// the whole: what is farther is another build, and no sleeve becomes a stocking.
const mostDrawn = 2

// Limbs lays each joint on its partner: with the factor of the whole, turned so that what is
// below it points where it does on the other figure, and drawn out along its bone to be as
// long as that. Several joints below it turn it together, as Lay does; none: as the joint above
// it. Joints stand parents first.
func (l *Laid) Limbs(joints []Joint) []Limb {
	out := make([]Limb, len(joints))
	for i := range joints {
		j := &joints[i]
		turn, drawn, along := l.Turn, 1.0, space.Vec{}
		switch len(j.Below) {
		case 0:
			if j.Above >= 0 { // a hand goes on as the arm does
				out[i].M = out[j.Above].M
				out[i].rigid(l.Factor)
				out[i].hold(j)
				continue
			}
		case 1:
			k := &joints[j.Below[0]]
			was, is := l.Turn.Rotate(k.From.Sub(j.From).Mul(l.Factor)), k.To.Sub(j.To)
			if was.Len() > 0 && is.Len() > 0 {
				along = space.Direction(k.From.Sub(j.From))
				turn = space.Mul(space.Between(was, is), l.Turn)
				drawn = min(max(is.Len()/was.Len(), 1.0/mostDrawn), mostDrawn)
			}
		default:
			from, to, weight := []space.Vec{j.From}, []space.Vec{j.To}, []float64{1}
			for _, b := range j.Below {
				from, to, weight = append(from, joints[b].From), append(to, joints[b].To), append(weight, 1)
			}
			if together, ok := Lay(from, to, weight); ok {
				turn = together.Turn
			}
		}
		for c := range 3 {
			e := space.Vec{}
			e[c] = 1
			e = turn.Rotate(e.Add(along.Mul((drawn - 1) * along[c]))).Mul(l.Factor)
			for r := range 3 {
				out[i].M[3*r+c] = e[r]
			}
		}
		out[i].hold(j)
	}
	return out
}

// hold shifts a limb so that the joint stands where its partner does.
func (l *Limb) hold(j *Joint) { l.Shift = j.To.Sub(l.Way(j.From)) }

// rigid takes what was drawn out of a limb: its columns are made square again, first to last
// (Gram and Schmidt), each as long as the factor.
func (l *Limb) rigid(factor float64) {
	x := space.Vec{l.M[0], l.M[3], l.M[6]}
	y := space.Vec{l.M[1], l.M[4], l.M[7]}
	q, ok := space.Frame(x, y)
	if !ok {
		return
	}
	for c := range 3 {
		e := space.Vec{}
		e[c] = factor
		e = q.Rotate(e)
		for r := range 3 {
			l.M[3*r+c] = e[r]
		}
	}
}
