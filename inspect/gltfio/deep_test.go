package gltfio

import (
	"slices"
	"testing"
	"testing/fstest"
)

// A folder is read with five levels below it: files that belong to a figure lie nearer, and
// a folder that was named by mistake is deep (value chosen by us).
func TestFolderToTheFifthLevel(t *testing.T) {
	s := wholeFolder(fstest.MapFS{"a.gltf": {}, "1/2/3/4/5/b.bin": {}, "1/2/3/4/5/6/c.bin": {}})
	slices.Sort(s.names)
	if !slices.Equal(s.names, []string{"1/2/3/4/5/b.bin", "a.gltf"}) {
		t.Errorf("read: %q", s.names)
	}
}
