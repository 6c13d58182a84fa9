package desk

import (
	"encoding/json"
	"io"
)

// WriteJSON writes an answer on one line, names as they stand in the file: no character
// is escaped for markup, which JSON is not.
func WriteJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
