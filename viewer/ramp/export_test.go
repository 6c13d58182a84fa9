package ramp

// Lightness is the L* of a colour as somebody sees it whose vision is the named one: "normal"
// (also that of a copy in grey), "protan", "deutan" or "tritan".
func Lightness(c uint32, vision string) float64 {
	for i := range visions {
		if visions[i].name == vision {
			return seen(c, &visions[i].m).l
		}
	}
	panic("no vision is called " + vision)
}
