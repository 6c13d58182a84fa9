package original

import (
	"fmt"
	"slices"
	"strconv"
)

// Graft copies objects of another document behind this one's: materials, textures, pictures,
// with all that they name, each once.
type Graft struct {
	to, from *Document
	made     map[Kind]map[int]int
	left     []string
}

// Graft begins to copy from a document, which does not change.
func (d *Document) Graft(from *Document) *Graft {
	return &Graft{to: d, from: from, made: map[Kind]map[int]int{}}
}

// Left names the extensions that were not copied with what they stood on: nobody knows
// whether they hold indices.
func (g *Graft) Left() []string { return g.left }

// Take copies an object and answers its index here. Views keep their bytes, in this
// document's own buffer.
func (g *Graft) Take(k Kind, i int) (int, error) {
	if to, done := g.made[k][i]; done {
		return to, nil
	}
	o := g.from.Object(k, i)
	if o == nil {
		return 0, fmt.Errorf("%q names %s %d, which does not exist", g.from.Name, noun(k), i)
	}
	if err := g.to.Room(k, 1); err != nil {
		return 0, err
	}
	if g.made[k] == nil {
		g.made[k] = map[int]int{}
	}
	if k == Views {
		data := g.from.ViewBytes(i)
		if data == nil {
			return 0, fmt.Errorf("%q: the bytes of %s %d are not there", g.from.Name, noun(k), i)
		}
		if err := g.to.viewRoom(1, 0); err != nil {
			return 0, err
		}
		g.made[k][i] = g.to.addView(data, 0, nil)
		return g.made[k][i], nil
	}
	o = Parse(o.Bytes())
	g.known(o)
	index := g.to.Add(k, Object()) // before what it names: it may name itself
	g.made[k][i] = index
	for _, u := range g.from.references().in[k][i] {
		holder := o
		for _, key := range u.keys[2 : len(u.keys)-1] {
			holder = step(holder, key)
		}
		if holder == nil { // of an extension that was left
			continue
		}
		to, err := g.Take(u.Of, u.Index)
		if err != nil {
			return 0, err
		}
		key := u.keys[len(u.keys)-1]
		if n, err := strconv.Atoi(key); err == nil && holder.IsList() {
			holder.SetAt(n, Whole(to))
		} else {
			holder.Set(key, Whole(to))
		}
	}
	g.to.list(k).SetAt(index, o)
	g.to.refresh(k, index)
	return index, nil
}

func step(v *Value, key string) *Value {
	if v.IsList() {
		n, _ := strconv.Atoi(key)
		return v.At(n)
	}
	return v.Get(key)
}

// known takes out the extensions whose insides are not known, and declares the others.
func (g *Graft) known(v *Value) {
	for _, k := range v.Keys() {
		m := v.Get(k)
		if k == "extras" {
			continue
		}
		if k == "extensions" {
			for _, name := range m.Keys() {
				if followed(name) {
					g.to.Declare(name, g.from.declares("extensionsRequired", name))
					continue
				}
				m.Set(name, nil)
				if !slices.Contains(g.left, name) {
					g.left = append(g.left, name)
				}
			}
			if len(m.Keys()) == 0 {
				v.Set(k, nil)
				continue
			}
		}
		g.known(m)
	}
	for i := range v.Len() {
		g.known(v.At(i))
	}
}

func (d *Document) declares(list, name string) bool {
	l := d.Root.Get(list)
	for i := range l.Len() {
		if l.At(i).String() == name {
			return true
		}
	}
	return false
}

// Declare names an extension among those that the document uses, and requires.
func (d *Document) Declare(name string, required bool) {
	for _, key := range []string{"extensionsUsed", "extensionsRequired"} {
		if key == "extensionsRequired" && !required || d.declares(key, name) {
			continue
		}
		if d.Root.Get(key) == nil {
			d.Root.Set(key, List())
		}
		d.Root.Get(key).Append(Text(name))
	}
}
