package inspect

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
)

// marshal is json.Marshal that writes null for a number that is none. Facts hold such
// numbers as nil pointers; this is the last net, so that one slip at one joint of one
// strange file does not cost the whole document.
func marshal(v any) ([]byte, error) {
	data, err := json.Marshal(v)
	var odd *json.UnsupportedValueError
	if !errors.As(err, &odd) {
		return data, err
	}
	var back []func()
	standIn(reflect.ValueOf(v), &back)
	data, err = json.Marshal(v)
	for _, undo := range back {
		undo()
	}
	for _, s := range []string{"1.7976931348623157e+308", "3.4028235e+38"} {
		data = bytes.ReplaceAll(data, []byte(s), []byte("null"))
	}
	return data, err
}

// standIn puts the largest number there is for each that is none, in what JSON shows of
// v: it cannot be mistaken for a measure. back takes how to undo it.
func standIn(v reflect.Value, back *[]func()) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			standIn(v.Elem(), back)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				standIn(v.Field(i), back)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			standIn(v.Index(i), back)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			if e := v.MapIndex(k); e.Kind() != reflect.Float64 {
				standIn(e, back)
			} else if x := e.Float(); x-x != 0 {
				*back = append(*back, func() { v.SetMapIndex(k, e) })
				v.SetMapIndex(k, reflect.ValueOf(math.MaxFloat64).Convert(e.Type()))
			}
		}
	case reflect.Float32, reflect.Float64:
		x := v.Float()
		if x-x == 0 || !v.CanSet() {
			return
		}
		*back = append(*back, func() { v.SetFloat(x) })
		if v.Kind() == reflect.Float32 {
			v.SetFloat(math.MaxFloat32)
		} else {
			v.SetFloat(math.MaxFloat64)
		}
	}
}
