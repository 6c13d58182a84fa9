package main

import (
	"context"
	"fmt"
	"io"

	"rigloupe/inspect/compare"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/wasm/bridge"
)

// compare tells what changed from an older examination to that of the figure on the desk.
func (x *examiner) compare(_ context.Context, a bridge.AskCompare, _ []gltfio.File) (ending, error) {
	old, err := compare.Read([]byte(a.Before))
	if err != nil {
		return ending{}, fmt.Errorf("the older examination: %w", err)
	}
	now, err := compare.Of(x.result)
	if err != nil {
		return ending{}, err
	}
	return x.text("compared", func(w io.Writer) error { return desk.WriteJSON(w, compare.Between(old, now)) })
}
