package lamplighter

import "rigloupe/inspect/rig"

func motionFaults() []Fault {
	return []Fault{
		{ID: "motion/no-clip", Name: "no clip", Grade: "note", Plant: Freeze},
	}
}

// Freeze takes all clips away. Size: 0 clips left.
func Freeze(r *rig.Rig) Planted {
	r.Clips = nil
	return Planted{Surface: rig.None, Measure: "clips", Size: 0}
}
