package original

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"sort"
)

// Rewrite stores an array in place of the accessor that some places name, for these
// places and no other: the same bytes where nothing else reads them and the array is of
// the same type and no longer, else a new view, and a new accessor where another place
// names the old one. Name, extras and extensions of the accessor stay. min and max are
// worked out where it has them, and for positions. All uses must name one accessor.
func (d *Document) Rewrite(a Array, at ...*Use) error {
	if len(at) == 0 || at[0] == nil {
		return fmt.Errorf("no place is named for %d numbers", a.Count)
	}
	old := at[0].Index
	for _, u := range at {
		if u == nil || u.Of != Accessors || u.Index != old {
			return fmt.Errorf("%s and the other places do not name one accessor", at[0].Pointer)
		}
	}
	was, err := d.Accessor(old)
	if err != nil && d.Object(Accessors, old) == nil {
		return err
	}
	all := len(d.Uses(Accessors, old)) == len(at)
	o := d.Object(Accessors, old)
	bounds := o.Get("min") != nil || o.Get("max") != nil || slices.ContainsFunc(at, func(u *Use) bool { return u.keys[len(u.keys)-1] == "POSITION" })
	if all && err == nil && was.data != nil && !was.Sparse && was.Type == a.Type && was.Component == a.Component && was.Normalized == a.Normalized &&
		a.Count > 0 && a.Count <= was.Count && d.alone(&was) {
		d.putBytes(&was, a.Data)
		if a.Count != was.Count {
			o.Set("count", Whole(a.Count))
		}
		if bounds {
			setBounds(o, a)
		}
		return nil
	}
	n, fresh := o, 0
	if !all {
		n, fresh = o.Clone(), 1
	}
	if err := d.viewRoom(1, fresh); err != nil {
		return err
	}
	n.Set("sparse", nil)
	n.Set("byteOffset", nil)
	n.Set("componentType", Whole(a.Component))
	n.Set("normalized", nil)
	if a.Normalized {
		n.Set("normalized", &Value{raw: []byte("true")})
	}
	n.Set("type", Text(a.Type))
	n.Set("count", Whole(a.Count))
	if bounds {
		setBounds(n, a)
	}
	data, stride := a.Data, 0
	if element := sizes[a.Component] * widths[a.Type]; d.isVertexData(old) && element%4 != 0 {
		stride = (element + 3) &^ 3
		data = make([]byte, stride*a.Count)
		for e := range a.Count {
			copy(data[e*stride:], a.Data[e*element:(e+1)*element])
		}
	}
	n.Set("bufferView", Whole(d.addView(data, stride, d.Object(Views, was.view))))
	if all {
		d.refresh(Accessors, old)
		return nil
	}
	to := d.Add(Accessors, n)
	for _, u := range at {
		d.move(d.UseAt(u.Pointer), to)
	}
	return nil
}

// Edit is an array for one place.
type Edit struct {
	Use   *Use
	Array Array
}

// RewriteAll stores an array at each of many places. Places that name one accessor and get
// the same numbers keep sharing it.
func (d *Document) RewriteAll(edits []Edit) error {
	type shared struct {
		array Array
		at    []*Use
	}
	groups := map[int][]*shared{}
	var order []*shared
	seen := map[string]bool{}
	for _, e := range edits {
		u := d.UseAt(e.Use.Pointer) // it may have been looked at anew since
		if u == nil || seen[u.Pointer] {
			continue
		}
		seen[u.Pointer] = true
		var to *shared
		for _, g := range groups[u.Index] {
			if g.array.Type == e.Array.Type && g.array.Component == e.Array.Component && bytes.Equal(g.array.Data, e.Array.Data) {
				to = g
				break
			}
		}
		if to == nil {
			to = &shared{array: e.Array}
			groups[u.Index] = append(groups[u.Index], to)
			order = append(order, to)
		}
		to.at = append(to.at, u)
	}
	for _, g := range order {
		if err := d.Rewrite(g.array, g.at...); err != nil {
			return err
		}
	}
	return nil
}

// NewAccessor stores an array behind all and answers its accessor. vertex: a primitive
// will name it as an attribute.
func (d *Document) NewAccessor(a Array, bounds, vertex bool) (int, error) {
	if err := d.viewRoom(1, 1); err != nil {
		return 0, err
	}
	data, stride := a.Data, 0
	if element := sizes[a.Component] * widths[a.Type]; vertex && element%4 != 0 {
		stride = (element + 3) &^ 3
		data = make([]byte, stride*a.Count)
		for e := range a.Count {
			copy(data[e*stride:], a.Data[e*element:(e+1)*element])
		}
	}
	o := Object("bufferView", Whole(d.addView(data, stride, nil)), "componentType", Whole(a.Component), "count", Whole(a.Count), "type", Text(a.Type))
	if a.Normalized {
		o.Set("normalized", &Value{raw: []byte("true")})
	}
	if bounds {
		setBounds(o, a)
	}
	return d.Add(Accessors, o), nil
}

// putBytes writes elements over those of an accessor.
func (d *Document) putBytes(a *Accessor, data []byte) {
	v := d.Object(Views, a.view)
	b := d.own(v.Get("buffer").Int())
	from := max(v.Get("byteOffset").Int(), 0) + max(d.Object(Accessors, a.Index).Get("byteOffset").Int(), 0)
	element := sizes[a.Component] * a.Width
	if a.stride == element {
		copy(b[from:], data)
		return
	}
	for e := 0; e*element < len(data); e++ {
		copy(b[from+e*a.stride:from+e*a.stride+element], data[e*element:])
	}
}

// setBounds states the least and greatest number of each component, exactly, in stored
// units (glTF 2.0, Accessors Bounds).
func setBounds(o *Value, a Array) {
	w := widths[a.Type]
	lo, hi := make([]float64, w), make([]float64, w)
	for k := range w {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for i := range a.Count * w {
		x := 0.0
		switch a.Component {
		case Float:
			x = float64(math.Float32frombits(binary.LittleEndian.Uint32(a.Data[4*i:])))
		case Byte:
			x = float64(int8(a.Data[i]))
		case Ubyte:
			x = float64(a.Data[i])
		case Short:
			x = float64(int16(binary.LittleEndian.Uint16(a.Data[2*i:])))
		case Ushort:
			x = float64(binary.LittleEndian.Uint16(a.Data[2*i:]))
		case Uint:
			x = float64(binary.LittleEndian.Uint32(a.Data[4*i:]))
		}
		lo[i%w], hi[i%w] = min(lo[i%w], x), max(hi[i%w], x)
	}
	for k := range w {
		if math.IsInf(lo[k], 0) || math.IsNaN(lo[k]) || math.IsNaN(hi[k]) {
			return
		}
	}
	o.Set("min", Numbers(lo...))
	o.Set("max", Numbers(hi...))
}

// claim is a stretch of a buffer that something reads: elements every stride bytes.
type claim struct {
	from, to        int
	stride, element int
	accessor        int // −1: something else
}

// alone tells that no one but an accessor reads its bytes.
func (d *Document) alone(a *Accessor) bool {
	v := d.Object(Views, a.view)
	b := v.Get("buffer").Int()
	element := sizes[a.Component] * a.Width
	from := max(v.Get("byteOffset").Int(), 0) + max(d.Object(Accessors, a.Index).Get("byteOffset").Int(), 0)
	to := from + (a.Count-1)*a.stride + element
	list := d.claims()[b]
	if list == nil {
		return true
	}
	last := sort.Search(len(list.claims), func(i int) bool { return list.claims[i].from >= to })
	for i := last - 1; i >= 0 && list.far[i] > from; i-- {
		c := &list.claims[i]
		if c.accessor == a.Index || c.from >= to || c.to <= from {
			continue
		}
		if c.stride == a.stride && c.element < c.stride {
			// Interleaved: each has its own bytes of every stride.
			x, y := from%c.stride, c.from%c.stride
			if x+element <= c.stride && y+c.element <= c.stride && (x+element <= y || y+c.element <= x) {
				continue
			}
		}
		return false
	}
	return true
}

// claimed are the claims on one buffer in order of their beginning; far is the farthest
// end up to each.
type claimed struct {
	claims []claim
	far    []int
}

func (d *Document) claims() map[int]*claimed {
	if d.taken != nil {
		return d.taken
	}
	d.taken = map[int]*claimed{}
	put := func(buffer int, c claim) {
		if d.taken[buffer] == nil {
			d.taken[buffer] = &claimed{}
		}
		d.taken[buffer].claims = append(d.taken[buffer].claims, c)
	}
	for i := range d.Count(Accessors) {
		a, err := d.Accessor(i)
		if err == nil && a.data != nil {
			v := d.Object(Views, a.view)
			from := max(v.Get("byteOffset").Int(), 0) + max(d.Object(Accessors, i).Get("byteOffset").Int(), 0)
			element := sizes[a.Component] * a.Width
			put(v.Get("buffer").Int(), claim{from, from + (a.Count-1)*a.stride + element, a.stride, element, i})
		}
	}
	for i := range d.Count(Views) {
		for _, u := range d.Uses(Views, i) {
			if u.row.path != "accessors/*/bufferView" {
				v := d.Object(Views, i)
				from := max(v.Get("byteOffset").Int(), 0)
				put(v.Get("buffer").Int(), claim{from, from + max(v.Get("byteLength").Int(), 0), 1, 1, -1})
				break
			}
		}
	}
	for _, c := range d.taken {
		slices.SortFunc(c.claims, func(a, b claim) int { return a.from - b.from })
		far := 0
		for i := range c.claims {
			far = max(far, c.claims[i].to)
			c.far = append(c.far, far)
		}
	}
	if d.taken[-1] != nil {
		delete(d.taken, -1)
	}
	return d.taken
}
