package original

import (
	"fmt"
	"strconv"
	"strings"
)

// Add puts an object behind a list and answers its index.
func (d *Document) Add(k Kind, v *Value) int {
	i := d.Count(k)
	d.list(k).Append(v)
	d.refresh(k, i)
	return i
}

// Room tells whether a list may grow by so many objects: an error where something names one
// of those already, just behind the end. Readers leave such a reference out, and what is
// added would be taken for what was meant.
func (d *Document) Room(k Kind, more int) error {
	n := d.Count(k)
	for i := n; i < n+more; i++ {
		if at := d.Uses(k, i); len(at) > 0 {
			return fmt.Errorf("%q: %s names %s %d, which does not exist, there are %d; what is added would be taken for it: export the model again", d.Name, at[0].Pointer, noun(k), i, n)
		}
	}
	return nil
}

// viewRoom is Room for so many new views with their accessors.
func (d *Document) viewRoom(views, accessors int) error {
	if err := d.Room(Views, views); err != nil {
		return err
	}
	if d.into == len(d.buffers) {
		if err := d.Room(Buffers, 1); err != nil {
			return err
		}
	}
	return d.Room(Accessors, accessors)
}

var nouns = map[Kind]string{Nodes: "node", Meshes: "mesh", Skins: "skin", Clips: "clip", Accessors: "accessor", Views: "buffer view", Buffers: "buffer"}

func noun(k Kind) string {
	if s := nouns[k]; s != "" {
		return s
	}
	return string(k)
}

// Remove takes objects out of a list. All references follow: those to what stays are
// counted down, those to what goes are taken out with as much as means nothing without
// them (a channel without its node). It is refused, with nothing changed, where something
// that must stay needs one of them, and beside extensions that may hold indices nobody
// knows.
func (d *Document) Remove(k Kind, gone ...int) error {
	if len(gone) == 0 {
		return nil
	}
	if un := d.Unfollowed(); len(un) > 0 {
		return fmt.Errorf("the file holds %s, which may point at a %s by its number: none can be taken out", strings.Join(un, ", "), noun(k))
	}
	is := map[int]bool{}
	for _, i := range gone {
		if i < 0 || i >= d.Count(k) {
			return fmt.Errorf("there is no %s %d to take out", noun(k), i)
		}
		is[i] = true
	}
	u := d.references()
	for _, i := range gone {
		for _, x := range u.of[k][i] {
			if x.row.goes == mustStay && !d.inside(x.Pointer, k, is) {
				return fmt.Errorf("%s needs %s %d: it cannot be taken out", x.Pointer, noun(k), i)
			}
		}
	}
	to := make([]int, d.Count(k)) // where each goes, −1: out
	n := 0
	for i := range to {
		if to[i] = n; is[i] {
			to[i] = -1
		} else {
			n++
		}
	}
	drop := map[*Value]map[string]bool{} // holder → steps to take out
	var holders []*Value
	mark := func(h *Value, key string) {
		if drop[h] == nil {
			drop[h] = map[string]bool{}
			holders = append(holders, h)
		}
		drop[h][key] = true
	}
	for i := range to {
		for _, x := range u.of[k][i] {
			switch at := len(x.holders) - 1 - max(x.row.goes, 0); {
			case to[i] >= 0 && to[i] != i:
				x.put(to[i])
			case to[i] < 0:
				mark(x.holders[at], x.keys[at])
			}
		}
	}
	d.pointed(k, to, mark)
	for _, h := range holders {
		if h.IsList() {
			h.Delete(func(i int) bool { return drop[h][strconv.Itoa(i)] })
		} else {
			for key := range drop[h] {
				h.Set(key, nil)
			}
		}
	}
	d.list(k).Delete(func(i int) bool { return is[i] })
	d.emptied()
	d.uses, d.taken = nil, nil
	return nil
}

// inside tells that a reference stands in an object of the same kind that goes as well.
func (d *Document) inside(pointer string, k Kind, gone map[int]bool) bool {
	steps := strings.Split(pointer, "/")
	if len(steps) < 3 || steps[1] != string(k) {
		return false
	}
	i, err := strconv.Atoi(steps[2])
	return err == nil && gone[i]
}

// pointed lets the pointers of KHR_animation_pointer follow; a channel whose target goes
// goes with it.
func (d *Document) pointed(k Kind, to []int, mark func(*Value, string)) {
	clips := d.Root.Get(string(Clips))
	for c := range clips.Len() {
		channels := clips.At(c).Get("channels")
		for i := range channels.Len() {
			x := channels.At(i).Get("target").Get("extensions").Get("KHR_animation_pointer")
			steps := strings.Split(x.Get("pointer").String(), "/")
			if len(steps) < 3 || steps[1] != string(k) {
				continue
			}
			n, err := strconv.Atoi(steps[2])
			switch {
			case err != nil || n < 0 || n >= len(to):
			case to[n] < 0:
				mark(channels, strconv.Itoa(i))
			case to[n] != n:
				steps[2] = strconv.Itoa(to[n])
				x.Set("pointer", Text(strings.Join(steps, "/")))
			}
		}
	}
}

// emptied takes away lists that glTF does not allow to be empty, and the clips that lost
// their last channel.
func (d *Document) emptied() {
	nodes := d.Root.Get(string(Nodes))
	for i := range nodes.Len() {
		if c := nodes.At(i).Get("children"); c != nil && c.Len() == 0 {
			nodes.At(i).Set("children", nil)
		}
	}
	scenes := d.Root.Get(string(Scenes))
	for i := range scenes.Len() {
		if c := scenes.At(i).Get("nodes"); c != nil && c.Len() == 0 {
			scenes.At(i).Set("nodes", nil)
		}
	}
	if clips := d.Root.Get(string(Clips)); clips != nil {
		clips.Delete(func(i int) bool { c := clips.At(i).Get("channels"); return c != nil && c.Len() == 0 })
	}
	for _, k := range []Kind{Nodes, Meshes, Skins, Clips, Scenes, Accessors, Views} {
		if v := d.Root.Get(string(k)); v != nil && v.IsList() && v.Len() == 0 {
			d.Root.Set(string(k), nil)
		}
	}
}
