package mendtest

import (
	"fmt"
	"strings"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/original"
)

// Form is a file made another way for proofs.
type Form struct {
	Name string
	Of   func(*original.Document) (*original.Document, error)
}

// Forms of one file: dressed, as it is, dressed without weights, dressed without skeleton.
var Forms = []Form{
	{"dressed", Dressed},
	{"plain", func(d *original.Document) (*original.Document, error) { return d, nil }},
	{"unbound", func(d *original.Document) (*original.Document, error) { return dressedIs(Unbound(d)) }},
	{"bare", func(d *original.Document) (*original.Document, error) { return dressedIs(Bare(d)) }},
}

// Asks tells whether a row is asked of the form: all of the dressed one; as it is what
// cannot be done beside unknown extensions (done: it was), and what an extra changes; and
// what the other forms are for.
func (f *Form) Asks(r *Row, done bool) bool {
	switch f.Name {
	case "plain":
		return !done || r.Mend == "thin"
	case "unbound":
		return r.Mend == "bind" && r.After == nil
	case "bare":
		return r.Mend == "fit" || r.After != nil && r.After.Mend == "fit"
	}
	return true
}

func dressedIs(d *original.Document, err error) (*original.Document, error) {
	if err != nil {
		return nil, err
	}
	return Dressed(d)
}

// Dressed is a document with an unknown extension, an unknown member and extras on every
// object but those of attributes.
func Dressed(d *original.Document) (*original.Document, error) {
	d = d.Clone()
	n := 0
	var dress func(v *original.Value, named bool)
	dress = func(v *original.Value, named bool) {
		for i := range v.Len() {
			dress(v.At(i), true)
		}
		if !v.IsObject() {
			return
		}
		for _, k := range v.Keys() {
			switch k {
			case "attributes", "targets", "extensions", "extras", "pbrMetallicRoughness", "sparse":
			default:
				dress(v.Get(k), k == "target" || k == "asset")
			}
		}
		if !named {
			return
		}
		n++
		v.Set("zz", original.Parse(fmt.Appendf(nil, `{"b": 1.50e0,"a":[%d,"\u00fc"]}`, n)))
		if v.Get("extras") == nil {
			v.Set("extras", original.Parse(fmt.Appendf(nil, `{"kept":  %d}`, n)))
		}
		if v.Get("extensions") == nil {
			v.Set("extensions", original.Parse(fmt.Appendf(nil, `{"ZZ_unknown":{"at":%d}}`, n)))
		}
	}
	dress(d.Root, true)
	used := d.Root.Get("extensionsUsed")
	if used == nil {
		used = original.List()
	}
	used.Append(original.Text("ZZ_unknown"))
	d.Root.Set("extensionsUsed", used)
	return again(d)
}

// Unbound is a document whose surfaces have no skin and no weights; joints and clips stay.
func Unbound(d *original.Document) (*original.Document, error) {
	d = d.Clone()
	for n := range d.Count(original.Nodes) {
		d.Object(original.Nodes, n).Set("skin", nil)
		d.Refresh(original.Nodes, n)
	}
	for m := range d.Count(original.Meshes) {
		list := d.Object(original.Meshes, m).Get("primitives")
		for p := range list.Len() {
			attributes := list.At(p).Get("attributes")
			for _, k := range attributes.Keys() {
				if strings.HasPrefix(k, "JOINTS_") || strings.HasPrefix(k, "WEIGHTS_") {
					attributes.Set(k, nil)
				}
			}
		}
		d.Refresh(original.Meshes, m)
	}
	if err := d.Remove(original.Skins, all(d, original.Skins)...); err != nil {
		return nil, err
	}
	return again(d)
}

// Bare is a document without skeleton: no skin, no weights, no clip, and no node that
// neither shows a mesh nor has one below it.
func Bare(d *original.Document) (*original.Document, error) {
	d, err := Unbound(d)
	if err != nil {
		return nil, err
	}
	if err := d.Remove(original.Clips, all(d, original.Clips)...); err != nil {
		return nil, err
	}
	shows := make([]bool, d.Count(original.Nodes))
	for range shows { // as often as the deepest chain could be long
		changed := false
		for n := range shows {
			o := d.Object(original.Nodes, n)
			now := o.Get("mesh") != nil
			for i := range o.Get("children").Len() {
				k := o.Get("children").At(i).Int()
				now = now || k >= 0 && k < len(shows) && shows[k]
			}
			changed = changed || now != shows[n]
			shows[n] = now
		}
		if !changed {
			break
		}
	}
	var gone []int
	for n, is := range shows {
		if !is {
			gone = append(gone, n)
		}
	}
	if err := d.Remove(original.Nodes, gone...); err != nil {
		return nil, err
	}
	return again(d)
}

func all(d *original.Document, k original.Kind) (out []int) {
	for i := range d.Count(k) {
		out = append(out, i)
	}
	return out
}

// again is a document as it is read after it was written.
func again(d *original.Document) (*original.Document, error) {
	b, err := d.GLB()
	if err != nil {
		return nil, err
	}
	return original.Open([]gltfio.File{{Name: d.Name, Data: b}})
}
