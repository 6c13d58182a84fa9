package mend

import (
	"regexp"
	"slices"
	"strconv"

	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// moves are the places that name a node for no sake but its own: what it hangs on, and what
// moves it.
var moves = regexp.MustCompile(`^/(?:scenes/\d+/nodes/\d+|nodes/\d+/children/\d+|animations/\d+/channels/\d+/target/node)$`)

// pointed is a JSON pointer into a node.
var pointed = regexp.MustCompile(`^/nodes/(\d+)/`)

// drop lets nodes leave the scene that nothing needs any more once the surfaces on them are
// out: theirs, the joints of skins that nothing else is bound by, and what stood above them
// for their sake alone. They stay in the file, on nothing, so that no node's number
// changes; the channels that moved them go. What a skin, a humanoid or springs name, what carries more,
// and what others hang on, stays.
func (w *Work) drop(nodes map[int]bool) error {
	may := map[int]bool{}
	for n := range nodes {
		for p := rig.Node(n); p >= 0; p = w.Rig.Nodes[p].Parent {
			may[int(p)] = true
		}
	}
	var skins []int
	for k := range w.Rig.Skins {
		own := slices.ContainsFunc(w.Rig.Surfaces, func(s rig.Surface) bool { return int(s.Skin) == k && nodes[int(s.Node)] })
		if own && len(w.Doc.Uses(original.Skins, k)) == 0 {
			skins = append(skins, k)
			for _, n := range w.Rig.Skins[k].Joints {
				may[int(n)] = true
			}
		}
	}
	if err := w.Doc.Remove(original.Skins, skins...); err != nil {
		return w.Refuse("%s.", sentence(err))
	}
	for c := range w.Doc.Count(original.Clips) { // KHR_animation_pointer names nodes in words
		channels := w.Doc.Object(original.Clips, c).Get("channels")
		for i := range channels.Len() {
			x := channels.At(i).Get("target").Get("extensions").Get("KHR_animation_pointer").Get("pointer").String()
			if m := pointed.FindStringSubmatch(x); m != nil {
				n, _ := strconv.Atoi(m[1])
				delete(may, n)
			}
		}
	}
	out := map[int]bool{}
	for _, n := range slices.Backward(w.Rig.Order) {
		if may[int(n)] && w.idle(int(n), out) {
			out[int(n)] = true
		}
	}
	if len(out) == 0 {
		w.Leave("Something else needs each of their nodes and joints: all stay.")
		return nil
	}
	list := func(v *original.Value) *original.Value {
		if v == nil {
			return nil
		}
		v.Delete(func(i int) bool { return out[v.At(i).Int()] })
		if v.Len() == 0 { // glTF 2.0: no list is empty
			return nil
		}
		return v
	}
	for i := range w.Doc.Count(original.Scenes) {
		o := w.Doc.Object(original.Scenes, i)
		o.Set("nodes", list(o.Get("nodes")))
	}
	for n := range w.Rig.Nodes {
		o := w.Doc.Object(original.Nodes, n)
		switch has := o.Get("children"); {
		case has == nil:
		case out[n]:
			o.Set("children", nil)
		case slices.ContainsFunc(w.Rig.Nodes[n].Children, func(c rig.Node) bool { return out[int(c)] }):
			o.Set("children", list(has))
		}
	}
	if err := w.unmoved(out); err != nil {
		return err
	}
	w.Doc.RefreshAll()
	w.Say("%s left the scene.", say.Count(len(out), "node or joint", "nodes and joints"))
	return nil
}

// unmoved takes out the channels that move nodes which go.
func (w *Work) unmoved(out map[int]bool) error {
	for c := range w.Doc.Count(original.Clips) {
		channels := w.Doc.Object(original.Clips, c).Get("channels")
		gone := func(i int) bool {
			node := channels.At(i).Get("target").Get("node")
			return node != nil && out[node.Int()]
		}
		left := 0
		for i := range channels.Len() {
			if !gone(i) {
				left++
			}
		}
		if left == 0 && channels.Len() > 0 {
			return w.Refuse("Clip %d moves nothing but what would be dropped: take the clip out first, or keep the joints.", c)
		}
		if left < channels.Len() {
			channels.Delete(gone)
		}
	}
	return nil
}

// idle tells that nothing needs a node, out being those below it that go.
func (w *Work) idle(n int, out map[int]bool) bool {
	o := w.Doc.Object(original.Nodes, n)
	for _, key := range []string{"mesh", "camera", "extensions"} {
		if o.Get(key) != nil {
			return false
		}
	}
	for _, c := range w.Rig.Nodes[n].Children {
		if !out[int(c)] {
			return false
		}
	}
	return !slices.ContainsFunc(w.Doc.Uses(original.Nodes, n), func(u *original.Use) bool { return !moves.MatchString(u.Pointer) })
}
