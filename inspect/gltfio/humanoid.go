package gltfio

import (
	"encoding/json"

	"rigloupe/inspect/rig"
)

// unmarshalExtension reads one extension object; false when it is not there or no
// object of that shape.
func unmarshalExtension(all map[string]any, name string, to any) bool {
	raw, ok := all[name].(json.RawMessage)
	return ok && json.Unmarshal(raw, to) == nil
}

// oldThumbs: VRM 0.x calls the first thumb joint Proximal, 1.0 calls it Metacarpal.
var oldThumbs = map[string]string{
	"leftThumbProximal": "leftThumbMetacarpal", "leftThumbIntermediate": "leftThumbProximal",
	"rightThumbProximal": "rightThumbMetacarpal", "rightThumbIntermediate": "rightThumbProximal",
}

// humanoid reads the map of body roles of VRM 1.0 (VRMC_vrm) or 0.x (VRM). When a
// file has both, the newer counts.
func (r *reader) humanoid() error {
	h := &r.rig.Humanoid
	put := func(where, bone string, node *int, rename bool) {
		if node == nil {
			return
		}
		if *node < 0 || *node >= len(r.rig.Nodes) {
			r.bad(nowhere, where, "%s is node %d, but there are %d nodes; left out", quote(bone), *node, len(r.rig.Nodes))
			return
		}
		if new, is := oldThumbs[bone]; is && rename {
			bone = new
		}
		if _, twice := h.Bones[bone]; twice {
			r.bad(onNode(*node), where, "%s is named twice; the first counts", quote(bone))
			return
		}
		set(&h.Bones, bone, rig.Node(*node))
	}
	if _, has := r.doc.Extensions["VRMC_vrm"]; has {
		var v struct {
			Humanoid struct {
				HumanBones map[string]struct{ Node *int }
			}
		}
		if !unmarshalExtension(r.doc.Extensions, "VRMC_vrm", &v) {
			r.bad(nowhere, "/extensions/VRMC_vrm/humanoid", "the map of bones cannot be read; ignored")
			return nil
		}
		h.Version = "1"
		for _, bone := range sortedKeys(v.Humanoid.HumanBones) {
			put(place("extensions", "VRMC_vrm", "humanoid", "humanBones", bone), bone, v.Humanoid.HumanBones[bone].Node, false)
		}
		return nil
	}
	if _, has := r.doc.Extensions["VRM"]; has {
		var v struct {
			Humanoid struct {
				HumanBones []struct {
					Bone string
					Node *int
				}
			}
		}
		if !unmarshalExtension(r.doc.Extensions, "VRM", &v) {
			r.bad(nowhere, "/extensions/VRM/humanoid", "the map of bones cannot be read; ignored")
			return nil
		}
		h.Version = "0"
		for i, b := range v.Humanoid.HumanBones {
			put(place("extensions", "VRM", "humanoid", "humanBones", i), b.Bone, b.Node, true)
		}
	}
	return nil
}
