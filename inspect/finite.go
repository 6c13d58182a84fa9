package inspect

import "rigloupe/inspect/tojson"

// marshal is json.Marshal that writes null for a number that is none. Facts hold such
// numbers as nil pointers; this is the last net, so that one slip at one joint of one
// strange file does not cost the whole document.
func marshal(v any) ([]byte, error) { return tojson.Append(nil, v, true) }
