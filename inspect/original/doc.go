// Package original holds a person's own file while it is edited: what an edit does not
// name stays as it was, to the byte in the buffers and to the letter in the JSON (unknown
// extensions, extras, spellings of numbers, other scenes).
//
//	d, err := original.Open(files)   // GLB, glTF with its side files, a zip of those
//	c := d.Clone()                   // cheap: bytes are shared until written to
//	c.Rewrite(uses, array)           // numbers of an accessor, for the places named alone
//	c.Add, c.Remove                  // objects; all indices follow, or the edit is refused
//	c.AddClip(clip)                  // an animation behind the others
//	glb, err := c.GLB()
//	original.Changes(d, c)           // which views and which JSON pointers differ
//
// References between objects stand in one table (references.go); what is in no table and
// no standard's list may hold an index that nobody sees, so taking something out of a
// list is refused beside an extension that is not known, and adding goes to the end.
package original
