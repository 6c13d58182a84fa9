package gltfio

import (
	"errors"
	"strings"
	"testing"
)

// A buffer at an address on a network is told as such, not as a file that is missing.
func TestAddressesOnANetwork(t *testing.T) {
	text := func(uri string) []File {
		return []File{{"m.gltf", []byte(`{"asset":{"version":"2.0"},"buffers":[{"byteLength":36,"uri":"` + uri + `"}],"bufferViews":[{"buffer":0,"byteLength":36}],
			"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"}],"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}]}`)}}
	}
	for uri, far := range map[string]bool{
		"http://10.0.0.1/a/body.bin": true, "https://example.com/body.bin?v=1": true, "//host/share/body.bin": true, "ftp://h/body.bin": true,
		"body.bin": false, "a/b//body.bin": false, "file:///C:/body.bin": false, "C:/body.bin": false, "/abs/body.bin": false,
	} {
		_, err := Read(text(uri), Options{})
		var missing *Missing
		if !errors.As(err, &missing) {
			t.Fatalf("%s: %v", uri, err)
		}
		if got := len(missing.Far) == 1; got != far || far != strings.Contains(err.Error(), "on a network; nothing is fetched") || missing.Names[0] != "body.bin" && far {
			t.Errorf("%s: %v", uri, err)
		}
	}
}
