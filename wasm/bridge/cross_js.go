package bridge

import (
	"fmt"
	"syscall/js"

	"github.com/norunners/vert"
)

// Out turns a message of this package into an object.
func Out(message any) js.Value { return vert.ValueOf(message).JSValue() }

// In fills a message of this package from an object. A missing field is the
// field's zero; an unknown one is dropped.
func In(object js.Value, message any) error {
	if object.Type() != js.TypeObject {
		return fmt.Errorf("want an object, not %s", object.Type())
	}
	return vert.Value{Value: object}.AssignTo(message)
}
