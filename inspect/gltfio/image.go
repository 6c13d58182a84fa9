package gltfio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	_ "image/jpeg" // its header, for the size
	_ "image/png"  // likewise
	"io/fs"

	"rigloupe/inspect/rig"
)

// images finds the bytes and the size of every picture. Nothing is decoded here,
// and a rig without its pictures is a rig all the same.
func (r *reader) images() error {
	spare := r.spareImages()
	for i, src := range r.doc.Images {
		m := rig.Image{Name: src.Name, MIME: src.MimeType}
		p := r.doc.pictures[i]
		var data []byte
		switch {
		case p.data != nil || p.odd != "":
			data = p.data
			if m.MIME == "" {
				m.MIME = p.mime
			}
			if p.odd != "" {
				r.bad(nowhere, place("images", i, "uri"), "%s", p.odd)
			}
		case src.URI != "":
			found, name, err := r.shelf.find(r.main, src.URI)
			data = found
			if m.Name == "" {
				m.Name = name
			}
			if errors.Is(err, fs.ErrNotExist) {
				m.Missing = quote(name) + " was not found"
				if isAddress(src.URI) {
					m.Missing += "; the file names " + quote(src.URI) + ", an address on a network, and nothing is fetched from there"
				}
			} else if err != nil {
				m.Missing = quote(name) + " cannot be read: " + reason(err)
			}
		case src.BufferView != nil:
			view, err := r.view(*src.BufferView)
			data = view
			if err != nil {
				m.Missing = err.Error()
			}
		default:
			m.Missing = "neither a uri nor a buffer view"
		}
		if m.Missing == "" && r.spend(len(data), 1) != nil {
			m.Missing = "too many pictures share the same bytes"
		}
		if m.Missing == "" {
			r.picture(&m, data)
		}
		if m.Spare = spare[i]; m.Missing != "" && !m.Spare {
			r.remark("%s: %s; drawn plain", label("picture", i, m.Name), m.Missing)
		}
		r.rig.Images = append(r.rig.Images, m)
	}
	return nil
}

// picture looks at the first bytes: kind and size.
func (r *reader) picture(m *rig.Image, data []byte) {
	le := binary.LittleEndian
	switch {
	case len(data) == 0:
		m.Missing = "the picture is empty"
	case bytes.HasPrefix(data, []byte("\x89PNG")) || bytes.HasPrefix(data, []byte("\xFF\xD8")):
		c, kind, err := image.DecodeConfig(bytes.NewReader(data))
		if err != nil {
			m.Missing = "the picture is damaged: " + err.Error()
			return
		}
		m.MIME, m.Data, m.Width, m.Height = "image/"+kind, data, c.Width, c.Height
	case bytes.HasPrefix(data, []byte(ktxMagic)):
		r.ktx(m, data)
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		r.webp(m, data)
	case len(data) >= 20 && string(data[:4]) == "DDS ":
		m.MIME, m.Height, m.Width = "image/vnd-ms.dds", int(le.Uint32(data[12:])), int(le.Uint32(data[16:]))
		m.Missing = "DDS pictures are not shown"
	case len(data) >= 12 && string(data[4:12]) == "ftypavif":
		m.MIME, m.Missing = "image/avif", "AVIF pictures are not shown"
	default:
		m.Missing = "a picture of a kind that is not shown (glTF has PNG and JPEG)"
	}
	const most = 1 << 16 // no kind of picture that a player loads is larger
	if m.Width < 0 || m.Height < 0 || m.Width > most || m.Height > most {
		m.Width, m.Height, m.Data = 0, 0, nil
		m.Missing = "the picture states a size beyond 65536"
	}
}
