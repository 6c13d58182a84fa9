package stage

import (
	"rigloupe/viewer/scene"
	"rigloupe/wasm/flat"
)

// foreignTexture is a picture of the file of the figure beside this one, decoded.
func (s *show) foreignTexture(data []byte, look func() error) error {
	t := &scene.Texture{}
	if err := flat.UnpackLooking(data, t, look); err != nil {
		return err
	}
	if s.scene != nil && s.scene.Foreign() {
		s.scene.SetForeignTexture(t)
		s.touch()
	}
	return nil
}
