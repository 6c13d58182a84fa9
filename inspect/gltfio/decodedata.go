package gltfio

import (
	"github.com/qmuntal/gltf"
)

// components holds glTF's componentType codes and the library's names for them.
func component(code int) (gltf.ComponentType, bool) {
	switch code {
	case 5120:
		return gltf.ComponentByte, true
	case 5121:
		return gltf.ComponentUbyte, true
	case 5122:
		return gltf.ComponentShort, true
	case 5123:
		return gltf.ComponentUshort, true
	case 5125:
		return gltf.ComponentUint, true
	case 5126:
		return gltf.ComponentFloat, true
	}
	return 0, false
}

func elementType(name []byte) (gltf.AccessorType, bool) {
	switch string(name) {
	case "SCALAR":
		return gltf.AccessorScalar, true
	case "VEC2":
		return gltf.AccessorVec2, true
	case "VEC3":
		return gltf.AccessorVec3, true
	case "VEC4":
		return gltf.AccessorVec4, true
	case "MAT2":
		return gltf.AccessorMat2, true
	case "MAT3":
		return gltf.AccessorMat3, true
	case "MAT4":
		return gltf.AccessorMat4, true
	}
	return 0, false
}

func (d *decoder) accessor(i int) *gltf.Accessor {
	a := d.accessors.one()
	hasComponent, hasType := false, false
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "bufferView":
			a.BufferView = d.index()
		case "byteOffset":
			a.ByteOffset = d.whole()
		case "componentType":
			hasComponent = true
			code := d.whole()
			var ok bool
			if a.ComponentType, ok = component(code); !ok {
				set(&d.doc.oddComponent, i, code)
			}
		case "normalized":
			a.Normalized = d.truth()
		case "count":
			a.Count = d.whole()
		case "type":
			hasType = true
			name := d.text()
			var ok bool
			if a.Type, ok = elementType(name); !ok {
				set(&d.doc.oddType, i, string(name))
			}
		case "max":
			a.Max = d.numbers()
		case "min":
			a.Min = d.numbers()
		case "name":
			a.Name = d.name()
		case "sparse":
			a.Sparse = d.sparse(i)
		default:
			d.common(k, &a.Extensions, &a.Extras)
		}
	}
	if !hasComponent {
		set(&d.doc.oddComponent, i, 0)
	}
	if !hasType {
		set(&d.doc.oddType, i, "")
	}
	return a
}

func (d *decoder) sparse(accessor int) *gltf.Sparse {
	s := &gltf.Sparse{Indices: gltf.SparseIndices{BufferView: -1}, Values: gltf.SparseValues{BufferView: -1}}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "count":
			s.Count = d.whole()
		case "indices":
			for k := d.member(); k != nil; k = d.next() {
				switch string(k) {
				case "bufferView":
					s.Indices.BufferView = d.whole()
				case "byteOffset":
					s.Indices.ByteOffset = d.whole()
				case "componentType":
					code := d.whole()
					var ok bool
					if s.Indices.ComponentType, ok = component(code); !ok {
						set(&d.doc.oddIndex, accessor, code)
					}
				default:
					d.common(k, &s.Indices.Extensions, &s.Indices.Extras)
				}
			}
		case "values":
			for k := d.member(); k != nil; k = d.next() {
				switch string(k) {
				case "bufferView":
					s.Values.BufferView = d.whole()
				case "byteOffset":
					s.Values.ByteOffset = d.whole()
				default:
					d.common(k, &s.Values.Extensions, &s.Values.Extras)
				}
			}
		default:
			d.common(k, &s.Extensions, &s.Extras)
		}
	}
	return s
}

func (d *decoder) view(int) *gltf.BufferView {
	v := d.views.one()
	v.Buffer = -1
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "buffer":
			v.Buffer = d.whole()
		case "byteOffset":
			v.ByteOffset = d.whole()
		case "byteLength":
			v.ByteLength = d.whole()
		case "byteStride":
			v.ByteStride = d.whole()
		case "target":
			v.Target = gltf.Target(d.whole())
		case "name":
			v.Name = d.name()
		default:
			d.common(k, &v.Extensions, &v.Extras)
		}
	}
	return v
}

func (d *decoder) buffer(i int) *gltf.Buffer {
	b := &gltf.Buffer{}
	var data []byte
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "uri":
			uri := d.text()
			if !isData(uri) {
				b.URI = string(uri)
				continue
			}
			bytes, mime, odd := dataURI(uri)
			data = bytes
			if data == nil {
				data = []byte{}
			}
			if odd == "" && mime != "application/octet-stream" && mime != "application/gltf-buffer" {
				d.note(place("buffers", i, "uri"),
					"a data URI of kind "+quote(mime)+"; application/octet-stream or application/gltf-buffer is wanted; read all the same")
			}
			if odd != "" {
				set(&d.doc.oddData, i, odd)
			}
		case "byteLength":
			b.ByteLength = d.whole()
		case "name":
			b.Name = d.name()
		default:
			d.common(k, &b.Extensions, &b.Extras)
		}
	}
	d.doc.data = append(d.doc.data[:i], data)
	return b
}

func (d *decoder) image(i int) *gltf.Image {
	m := &gltf.Image{}
	var p picture
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "uri":
			uri := d.text()
			if !isData(uri) {
				m.URI = string(uri)
				continue
			}
			p.data, p.mime, p.odd = dataURI(uri)
		case "mimeType":
			m.MimeType = d.name()
		case "bufferView":
			m.BufferView = d.index()
		case "name":
			m.Name = d.name()
		default:
			d.common(k, &m.Extensions, &m.Extras)
		}
	}
	d.doc.pictures = append(d.doc.pictures[:i], p)
	return m
}
