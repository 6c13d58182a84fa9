package lamplighter

import "rigloupe/inspect/rig"

func (b *body) stroll() rig.ClipData { return rig.ClipData{Name: "stroll"} }
func (b *body) wave() rig.ClipData   { return rig.ClipData{Name: "wave"} }
