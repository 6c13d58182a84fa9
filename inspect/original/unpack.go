package original

import (
	"slices"

	"rigloupe/inspect/gltfio"
)

// Unpacked counts the buffer views that came packed (EXT_meshopt_compression and its sister)
// and lie in the document as they read, since an edit of packed numbers is none: what is
// written is not packed any more.
func (d *Document) Unpacked() int { return d.unpacked }

// unpack lays what was packed into the buffer that new bytes go into, takes the packed bytes
// and the buffers that only stood for unpacked ones out, and the extensions with them. What
// cannot be unpacked stays as it is.
func (d *Document) unpack(p *gltfio.Package) {
	if d.unpacked = len(p.Unpacked); d.unpacked == 0 {
		return
	}
	views := d.Root.Get("bufferViews")
	for _, u := range p.Unpacked {
		v := views.At(u.View)
		if drop(v, u.By); v.Get("buffer") == nil {
			continue
		}
		v.Set("buffer", Whole(-1)) // none yet
	}
	d.dropEmpty(views)
	for _, u := range p.Unpacked {
		to := d.addBytes(u.Data)
		v := views.At(u.View)
		v.Set("buffer", Whole(d.into))
		v.Set("byteOffset", Whole(to))
		v.Set("byteLength", Whole(len(u.Data)))
	}
	for _, by := range []string{"EXT_meshopt_compression", "KHR_meshopt_compression"} {
		left := false
		for i := range views.Len() {
			left = left || views.At(i).Get("extensions").Get(by) != nil
		}
		if left {
			continue
		}
		for i := range d.Count(Buffers) {
			drop(d.Object(Buffers, i), by)
		}
		d.forget(by)
	}
	for b := range d.buffers {
		d.close(b)
	}
}

// drop takes an extension from an object.
func drop(v *Value, name string) {
	if e := v.Get("extensions"); e != nil {
		if e.Set(name, nil); len(e.Keys()) == 0 {
			v.Set("extensions", nil)
		}
	}
}

// dropEmpty takes out the buffers without bytes that no view is in, and lets the views' numbers
// follow. Beside extensions that nobody knows all stay, since one may name a buffer.
func (d *Document) dropEmpty(views *Value) {
	if len(d.Unfollowed()) > 0 {
		return
	}
	used := make([]bool, len(d.buffers))
	each := func(do func(of *Value)) {
		for i := range views.Len() {
			do(views.At(i))
			for _, name := range views.At(i).Get("extensions").Keys() {
				do(views.At(i).Get("extensions").Get(name))
			}
		}
	}
	each(func(of *Value) {
		if b := of.Get("buffer").Int(); b >= 0 && b < len(used) {
			used[b] = true
		}
	})
	to, kept := make([]int, len(d.buffers)), d.buffers[:0:0]
	for b := range d.buffers {
		to[b] = len(kept)
		if used[b] || !d.spare(b) {
			kept = append(kept, d.buffers[b])
		} else {
			to[b] = -1
		}
	}
	if len(kept) == len(d.buffers) {
		return
	}
	d.Root.Get("buffers").Delete(func(b int) bool { return b < len(to) && to[b] < 0 })
	each(func(of *Value) {
		if b := of.Get("buffer").Int(); b >= 0 && b < len(to) {
			of.Set("buffer", Whole(to[b]))
		}
	})
	d.buffers = kept
	if d.into = len(kept); len(kept) > 0 && kept[0].missing == "" {
		d.into = 0
		d.Object(Buffers, 0).Set("uri", nil)
	}
}

// spare tells a buffer that has no bytes, or is said to hold unpacked copies alone.
func (d *Document) spare(b int) bool {
	if d.buffers[b].missing != "" {
		return true
	}
	e := d.Object(Buffers, b).Get("extensions")
	return slices.ContainsFunc(e.Keys(), func(name string) bool { return string(e.Get(name).Get("fallback").raw0()) == "true" })
}
