package raster

// Colours are one paper's colours, as pixels (see Plate). Package ramp has them.
type Colours struct {
	Night                    bool // lines are light on dark and thicken in light
	Paper, Figure, Ink, Rule uint32
	Ramp                     [11]uint32
	Press                    [4]uint32 // 0 equals Ramp[0]; then the three steps of the pressed side
	Category, Count          []uint32  // inks by Frame.Category
}

// Style is a paper's colours and the engraver's habits, with its tables cut.
type Style struct {
	Colours
	Pitch float32 // page pixels between lines
}

// NewStyle cuts the tables for one paper: 2–5 ms, once a paper.
func NewStyle(c Colours) *Style { return &Style{Colours: c, Pitch: 4.4} }

// RGB makes a pixel of 0xrrggbb.
func RGB(h uint32) uint32 { return 0xff000000 | h&0xff<<16 | h&0xff00 | h>>16&0xff }
