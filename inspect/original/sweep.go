package original

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// Sweep takes out the samplers of clips, meshes, skins, accessors and buffer views that nothing names, and
// closes the gaps that they and earlier edits leave in the buffers: what stays keeps its
// bytes and its place in rows of four. taken counts objects by kind; bytes is how much
// smaller the buffers are. Refused with nothing changed beside extensions that may hold
// an index nobody knows; gaps stay where a view is compressed, since its extension names
// places of its own.
func (d *Document) Sweep() (taken map[Kind]int, bytes int64, err error) {
	taken = map[Kind]int{}
	if n := d.idleSamplers(); n > 0 {
		taken[Samplers] = n
	}
	for _, k := range []Kind{Meshes, Skins, Accessors, Views} {
		var gone []int
		for i := range d.Count(k) {
			if len(d.Uses(k, i)) == 0 {
				gone = append(gone, i)
			}
		}
		if err := d.Remove(k, gone...); err != nil {
			return nil, 0, err
		}
		if len(gone) > 0 {
			taken[k] = len(gone)
		}
	}
	for i := range d.Count(Views) {
		if d.Object(Views, i).Get("extensions") != nil {
			return taken, 0, nil
		}
	}
	shared := d.overlaps()
	for i := range d.Count(Views) {
		if !shared[i] {
			d.narrow(i)
		}
	}
	for b := range d.buffers {
		bytes += d.close(b)
	}
	d.uses, d.taken = nil, nil
	return taken, bytes, nil
}

// idleSamplers takes out the samplers of clips that no channel plays.
func (d *Document) idleSamplers() (n int) {
	for c := range d.Count(Clips) {
		channels, samplers := d.Object(Clips, c).Get("channels"), d.Object(Clips, c).Get("samplers")
		used := make([]bool, samplers.Len())
		for i := range channels.Len() {
			if s := channels.At(i).Get("sampler").Int(); s >= 0 && s < len(used) {
				used[s] = true
			}
		}
		to, at := make([]int, len(used)), 0
		for s := range used {
			to[s] = at
			if used[s] {
				at++
			}
		}
		if at == len(used) {
			continue
		}
		n += len(used) - at
		for i := range channels.Len() {
			if s := channels.At(i).Get("sampler").Int(); s >= 0 && s < len(used) && to[s] != s {
				channels.At(i).Set("sampler", Whole(to[s]))
			}
		}
		samplers.Delete(func(s int) bool { return !used[s] })
	}
	if n > 0 {
		d.uses, d.taken = nil, nil
	}
	return n
}

// overlaps tells which views have bytes in common with another one.
func (d *Document) overlaps() []bool {
	n := d.Count(Views)
	out, order, from, to := make([]bool, n), make([]int, n), make([]int, n), make([]int, n)
	buffer := make([]int, n)
	for i := range n {
		v := d.Object(Views, i)
		order[i], buffer[i] = i, v.Get("buffer").Int()
		from[i] = max(v.Get("byteOffset").Int(), 0)
		to[i] = from[i] + max(v.Get("byteLength").Int(), 0)
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(buffer[a], buffer[b]), cmp.Compare(from[a], from[b]), cmp.Compare(a, b))
	})
	far := -1 // the view before that ends last
	for _, i := range order {
		if far >= 0 && buffer[far] == buffer[i] && to[far] > from[i] {
			out[far], out[i] = true, true
		}
		if far < 0 || buffer[far] != buffer[i] || to[i] > to[far] {
			far = i
		}
	}
	return out
}

// narrow closes the gaps between the accessors of a view that are stored one after the
// other, where accessors alone name it and no other view
// has its bytes. The bytes that are left over stand at its end and
// it becomes so much shorter.
func (d *Document) narrow(i int) {
	v := d.Object(Views, i)
	if v.Get("byteStride") != nil || d.ViewBytes(i) == nil {
		return
	}
	type part struct {
		from, to, now int
		of            *Value
	}
	var parts []part
	for _, u := range d.Uses(Views, i) {
		// "/accessors/12/bufferView"; sparse ones and pictures name it otherwise.
		steps := strings.Split(u.Pointer, "/")
		if len(steps) != 4 || steps[1] != string(Accessors) || steps[3] != "bufferView" {
			return
		}
		n, err := strconv.Atoi(steps[2])
		if err != nil {
			return
		}
		a, err := d.Accessor(n)
		if err != nil || a.stride != sizes[a.Component]*a.Width {
			return
		}
		if strings.HasPrefix(a.Type, "MAT") && sizes[a.Component] < 4 {
			return // columns are padded
		}
		from := max(d.Object(Accessors, n).Get("byteOffset").Int(), 0)
		parts = append(parts, part{from: from, to: from + a.stride*a.Count, of: d.Object(Accessors, n)})
	}
	if len(parts) == 0 {
		return
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	size, end := 0, 0 // of what is written, and of what was read of the old
	for k := range parts {
		p := &parts[k]
		if p.from < end { // they share bytes: as far from each other as before
			p.now = p.from - end + size
		} else {
			p.now = size + (p.from-size)&3
		}
		if p.to > end {
			end, size = p.to, p.now+p.to-p.from
		}
	}
	was := d.ViewBytes(i)
	if size+3 >= len(was) {
		return
	}
	out := make([]byte, size)
	for _, p := range parts {
		copy(out[p.now:], was[p.from:p.to])
	}
	b := v.Get("buffer").Int()
	at := max(v.Get("byteOffset").Int(), 0)
	copy(d.own(b)[at:], out)
	v.Set("byteLength", Whole(size))
	for _, p := range parts {
		if p.now != p.from {
			p.of.Set("byteOffset", Whole(p.now))
		}
	}
}

// close moves the views of a buffer together and answers by how much it is shorter.
func (d *Document) close(b int) int64 {
	if d.buffers[b].missing != "" || len(d.buffers[b].data) == 0 {
		return 0
	}
	type stretch struct{ from, to, now int }
	var parts []stretch
	for i := range d.Count(Views) {
		v := d.Object(Views, i)
		if v.Get("buffer").Int() != b {
			continue
		}
		if d.ViewBytes(i) == nil {
			return 0 // a broken view: nothing is known of where it ends
		}
		from := max(v.Get("byteOffset").Int(), 0)
		parts = append(parts, stretch{from: from, to: from + v.Get("byteLength").Int()})
	}
	slices.SortFunc(parts, func(a, b stretch) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	merged := parts[:0:0]
	for _, p := range parts {
		if n := len(merged); n > 0 && p.from <= merged[n-1].to {
			merged[n-1].to = max(merged[n-1].to, p.to)
			continue
		}
		merged = append(merged, p)
	}
	size := 0
	for i := range merged {
		size += (merged[i].from - size) & 3 // as far from a multiple of four as before
		merged[i].now = size
		size += merged[i].to - merged[i].from
	}
	was := d.buffers[b].data
	if size >= len(was) {
		return 0
	}
	out := make([]byte, size)
	for _, p := range merged {
		copy(out[p.now:], was[p.from:p.to])
	}
	for i := range d.Count(Views) {
		v := d.Object(Views, i)
		if v.Get("buffer").Int() != b {
			continue
		}
		from := max(v.Get("byteOffset").Int(), 0)
		at, _ := slices.BinarySearchFunc(merged, from, func(p stretch, x int) int {
			switch {
			case p.to <= x && p.to > p.from:
				return -1
			case p.from > x:
				return 1
			}
			return 0
		})
		if p := merged[at]; p.now != p.from {
			v.Set("byteOffset", Whole(from-p.from+p.now))
		}
	}
	d.buffers[b].data, d.buffers[b].shared = out, false
	d.buffers[b].inline = d.buffers[b].inline || b > 0
	return int64(len(was) - size)
}
