package rig

import (
	"bytes"
	"encoding/json"
)

// Name is the name of something in a file as documents write it: one that is not there
// is null, so that nobody takes it for a name of no letters.
type Name string

// MarshalJSON writes null for no name; whether < and > are escaped is the encoder's matter.
func (n Name) MarshalJSON() ([]byte, error) {
	if n == "" {
		return []byte("null"), nil
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(string(n))
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// NullWhereEmpty tells package tojson the same.
func (Name) NullWhereEmpty() {}
