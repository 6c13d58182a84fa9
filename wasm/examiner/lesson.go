package main

import (
	"context"
	"io"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lesson"
	"rigloupe/inspect/mark"
	"rigloupe/wasm/bridge"
)

// taught is all there is to learn by: lessons, and faults to be found.
type taught struct {
	Lessons []lesson.Lesson `json:"lessons"`
	Faults  []desk.Planted  `json:"faults"`
}

func (x *examiner) lessons(_ context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	return x.text("lessons", func(w io.Writer) error { return desk.WriteJSON(w, taught{lesson.All(), desk.Faults()}) })
}

// lesson measures one on the open figure: what `rigloupe lesson --json` prints.
func (x *examiner) lesson(_ context.Context, a bridge.AskLesson, _ []gltfio.File) (ending, error) {
	l, err := lesson.Named(lesson.All(), a.Name)
	if err != nil {
		return ending{}, err
	}
	return x.text("lesson", func(w io.Writer) error { return desk.WriteJSON(w, lesson.Tell(l, x.result, a.At)) })
}

// answerTo is what a fault of the sample is: what `rigloupe sample --answer` writes.
func (x *examiner) answerTo(_ context.Context, a bridge.AskAnswer, _ []gltfio.File) (ending, error) {
	answer, err := desk.Answer(a.Fault)
	if err != nil {
		return ending{}, err
	}
	return x.text("answer", func(w io.Writer) error { return desk.WriteJSON(w, answer) })
}

// mark holds what learners found against an answer: what `rigloupe mark --json` prints.
func (x *examiner) mark(_ context.Context, a bridge.AskMark, _ []gltfio.File) (ending, error) {
	answer, err := mark.ParseAnswer([]byte(a.Answer))
	if err != nil {
		return ending{}, err
	}
	var lists []mark.Findings
	for _, text := range a.Findings {
		f, err := mark.ParseFindings([]byte(text))
		if err != nil {
			return ending{}, err
		}
		lists = append(lists, f)
	}
	return x.text("marked", func(w io.Writer) error { return desk.WriteJSON(w, mark.Of(answer, lists)) })
}
