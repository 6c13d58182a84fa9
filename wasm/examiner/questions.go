package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"reflect"
	"runtime/debug"

	"rigloupe/inspect"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/compare"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lesson"
	"rigloupe/inspect/lineup"
	"rigloupe/inspect/mark"
	"rigloupe/inspect/match"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/road"
	"rigloupe/viewer/found"
	"rigloupe/wasm/bridge"
)

// ending is the message that ends an ask, with its bytes; without a message the ask ends
// with a bridge.Done.
type ending struct {
	message any
	bytes   []byte
}

// question is one kind of ask.
type question struct {
	kind   string
	figure bool // it is about the open figure, and refused without one
	answer func(x *examiner, ctx context.Context, fill func(ask any) error, files []gltfio.File) (ending, error)

	// For the page's types (wasm/wire): the struct that is asked, the message that ends it
	// and its kind, and what the JSON of that message holds, nil for plain text.
	ask, ends, document reflect.Type
	told                string
}

// questions are all kinds of ask, in the order in which a person meets them.
func questions() []question {
	text := reflect.Type(nil)
	return []question{
		about[bridge.AskNothing, bridge.Document]("catalogue", "catalogue", false, reflect.TypeFor[[]inspect.CatalogueEntry](), (*examiner).catalogue),
		about[bridge.AskExamine, bridge.Done]("examine", "done", false, reflect.TypeFor[inspect.Document](), (*examiner).askExamine),
		about[bridge.AskSample, bridge.Done]("sample", "done", false, reflect.TypeFor[inspect.Document](), (*examiner).sample),
		about[bridge.AskWarm, bridge.Done]("warm", "done", false, text, (*examiner).warm),
		about[bridge.AskNothing, bridge.Document]("paint", "painted", false, text, (*examiner).paint),
		about[bridge.AskJudge, bridge.Document]("judge", "result", true, reflect.TypeFor[inspect.Document](), (*examiner).judge),
		about[bridge.AskList, bridge.Document]("list", "list", true, text, (*examiner).list),
		about[bridge.AskNothing, bridge.Document]("joints", "joints", true, text, (*examiner).joints),
		about[bridge.AskNothing, bridge.Document]("lenses", "lenses", true, reflect.TypeFor[[]found.LensInfo](), (*examiner).lenses),
		about[bridge.AskField, bridge.Parcel]("field", "field", true, text, (*examiner).field),
		about[bridge.AskOverlay, bridge.Overlay]("overlay", "overlay", true, text, (*examiner).overlay),
		about[bridge.AskRows, bridge.Document]("rows", "rows", true, reflect.TypeFor[motion.ClipRows](), (*examiner).rows),
		about[bridge.AskCurves, bridge.Document]("curves", "curves", true, reflect.TypeFor[motion.JointCurves](), (*examiner).curves),
		about[bridge.AskNothing, bridge.Document]("offers", "offers", true, reflect.TypeFor[[]mend.Offer](), (*examiner).offers),
		about[bridge.AskNothing, bridge.Document]("road", "road", true, reflect.TypeFor[road.Road](), (*examiner).road),
		about[bridge.AskNothing, bridge.Document]("begin", "slip", true, reflect.TypeFor[mend.Sheet](), (*examiner).begin),
		about[bridge.AskNothing, bridge.Document]("beside", "beside", true, reflect.TypeFor[mend.Second](), (*examiner).beside),
		about[bridge.AskTry, bridge.Document]("try", "receipt", true, reflect.TypeFor[mend.Told](), (*examiner).try),
		about[bridge.AskBoard, bridge.Document]("board", "board", true, reflect.TypeFor[boardDocument](), (*examiner).boardOf),
		about[bridge.AskSettle, bridge.Document]("settle", "settled", true, reflect.TypeFor[settledDocument](), (*examiner).settle),
		about[bridge.AskKeep, bridge.Document]("keep", "slip", true, reflect.TypeFor[mend.Sheet](), (*examiner).keep),
		about[bridge.AskNothing, bridge.Done]("leave", "done", true, text, (*examiner).leave),
		about[bridge.AskSlip, bridge.Document]("slip", "slip", true, reflect.TypeFor[mend.Sheet](), (*examiner).slip),
		about[bridge.AskNothing, bridge.Document]("suggest", "slip", true, reflect.TypeFor[mend.Sheet](), (*examiner).suggest),
		about[bridge.AskPlan, bridge.Document]("plan", "plan", true, reflect.TypeFor[mend.PlanTold](), (*examiner).plan),
		about[bridge.AskDoPlan, bridge.Document]("doPlan", "slip", true, reflect.TypeFor[mend.Sheet](), (*examiner).doPlan),
		about[bridge.AskReopen, bridge.Document]("reopen", "slip", false, reflect.TypeFor[mend.Sheet](), (*examiner).reopen),
		about[bridge.AskHandOver, bridge.Parcel]("handOver", "handed", true, text, (*examiner).handOver),
		about[bridge.AskReport, bridge.Parcel]("report", "reported", true, text, (*examiner).report),
		about[bridge.AskCompare, bridge.Document]("compare", "compared", true, reflect.TypeFor[compare.Report](), (*examiner).compare),
		about[bridge.AskPlace, bridge.Parcel]("place", "placed", true, text, (*examiner).place),
		about[bridge.AskNothing, bridge.Document]("second", "second", true, reflect.TypeFor[secondDocument](), (*examiner).second),
		about[bridge.AskMatch, bridge.Document]("match", "match", true, reflect.TypeFor[match.Document](), (*examiner).match),
		about[bridge.AskCarry, bridge.Document]("carry", "carry", true, reflect.TypeFor[carry.Document](), (*examiner).carry),
		about[bridge.AskSave, bridge.Parcel]("save", "saved", true, text, (*examiner).save),
		about[bridge.AskNothing, bridge.Document]("lessons", "lessons", false, reflect.TypeFor[taught](), (*examiner).lessons),
		about[bridge.AskLesson, bridge.Document]("lesson", "lesson", true, reflect.TypeFor[lesson.Told](), (*examiner).lesson),
		about[bridge.AskAnswer, bridge.Document]("answer", "answer", false, reflect.TypeFor[mark.Answer](), (*examiner).answerTo),
		about[bridge.AskMark, bridge.Document]("mark", "marked", false, reflect.TypeFor[mark.Report](), (*examiner).mark),
		about[bridge.AskRow, bridge.Document]("row", "row", false, reflect.TypeFor[lineup.Row](), (*examiner).row),
		about[bridge.AskLineup, bridge.Lineup]("lineup", "lineup", false, reflect.TypeFor[lineup.Document](), (*examiner).lineup),
	}
}

// about is a question that is asked with an A and ends with an E of the kind told.
func about[A, E any](kind, told string, figure bool, document reflect.Type, answer func(*examiner, context.Context, A, []gltfio.File) (ending, error)) question {
	return question{
		kind: kind, told: told, figure: figure, ask: reflect.TypeFor[A](), ends: reflect.TypeFor[E](), document: document,
		answer: func(x *examiner, ctx context.Context, fill func(any) error, files []gltfio.File) (ending, error) {
			var a A
			if err := fill(&a); err != nil {
				return ending{}, err
			}
			return answer(x, ctx, a, files)
		},
	}
}

var errNothingOpen = errors.New("nothing has been examined yet; open a file first")

// answer does what is asked; fill reads the rest of the ask into the struct of its kind.
// It never panics: that is told as a refusal, with the place in our code. ctx ends when the
// page asks to stop. Exactly one message ends it, the last.
func (x *examiner) answer(ctx context.Context, a bridge.Ask, fill func(ask any) error, files []gltfio.File) {
	start := x.clock()
	x.id = a.ID
	end, err := x.guarded(ctx, a.Kind, fill, files)
	var broken *panicked
	var fault *inspect.Fault
	switch {
	case errors.As(err, &fault): // what was finished has been told
		end = ending{message: panicRefusal(a.ID, fault.What, fault.Stack)}
	case errors.As(err, &broken):
		end = ending{message: panicRefusal(a.ID, broken.what, broken.stack)}
	case err != nil && ctx.Err() == nil:
		end = ending{message: refusalOf(a.ID, err)}
	case err != nil || end.message == nil:
		ms := float64(x.clock().Sub(start).Microseconds()) / 1000
		end = ending{message: bridge.Done{ID: a.ID, Kind: "done", MS: ms, Stopped: ctx.Err() != nil, Memory: x.memory()}}
	}
	x.tell(end.message, end.bytes, true)
}

// panicked is a panic on its way to the page.
type panicked struct {
	what  any
	stack []byte
}

func (p *panicked) Error() string { return fmt.Sprint(p.what) }

func (x *examiner) guarded(ctx context.Context, kind string, fill func(any) error, files []gltfio.File) (end ending, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &panicked{p, debug.Stack()}
		}
	}()
	for _, q := range questions() {
		if q.kind != kind {
			continue
		}
		if q.figure && x.result == nil {
			return ending{}, errNothingOpen
		}
		return q.answer(x, ctx, fill, files)
	}
	return ending{}, fmt.Errorf("the page asks for %q, which this program does not know; load the page again", kind)
}

// text ends an ask with what write writes.
func (x *examiner) text(kind string, write func(io.Writer) error) (ending, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return ending{}, err
	}
	return ending{message: bridge.Document{ID: x.id, Kind: kind, JSON: b.String()}}, nil
}
