package bridge

// Ask is the head of what the page asks the examiner; the rest is the struct of its kind,
// and files come beside it as bytes. Whatever is asked, the last message that answers it
// bears end, which no other does.
type Ask struct {
	ID   int    `js:"id"`
	Kind string `js:"kind"`
}

// AskNothing is an ask that its kind says all of.
type AskNothing struct{}

// AskExamine reads the files beside it, shows the figure and examines it.
type AskExamine struct {
	Limits string `js:"limits"` // JSON, as inspect.ParseLimits reads it; "": the defaults
}

// AskSample does the same with the built-in figure; see desk.Sample.
type AskSample struct {
	Limits string `js:"limits"`
	Pose   string `js:"pose"`  // "T" or "A"
	Names  string `js:"names"` // "plain", "snake" or "prefix"
	Size   int    `js:"size"`  // vertices; 0: the default
	Fault  int    `js:"fault"` // number of the one that is planted; 0: none
}

// AskWarm examines the built-in figure unseen, so that the next file is answered sooner.
type AskWarm struct {
	Size int `js:"size"` // vertices; 0: the default
}

// AskJudge holds what was measured against other limits.
type AskJudge struct {
	Limits string `js:"limits"`
}

// AskList wants the whole place of a finding.
type AskList struct {
	Number int `js:"number"`
}

// AskField wants what a lens shows.
type AskField struct {
	Name  string  `js:"name"`
	Weld  float64 `js:"weld"`  // metres, for a lens that asks for a weld distance
	Joint *int    `js:"joint"` // for a lens that asks for one; null: none
	Move  *Move   `js:"move"`  // of the bend set, for a lens that asks for one; null: none
}

// AskOverlay wants what a finding inks over the figure, or without a number the section
// around a joint.
type AskOverlay struct {
	Number int  `js:"number"`
	Joint  *int `js:"joint"`
}

// AskRows wants a clip joint by joint.
type AskRows struct {
	Clip    *int `js:"clip"` // refused without
	Columns int  `js:"columns"`
}

// AskCurves wants the curves of one joint in a clip.
type AskCurves struct {
	Clip  *int `js:"clip"`  // refused without
	Joint *int `js:"joint"` // refused without
}

// AskMatch wants to know which joint of the second figure moves which of the open one.
type AskMatch struct {
	Pins   string `js:"pins"`   // a saved table, JSON or CSV; "": nothing is pinned
	Format string `js:"format"` // csv, else JSON
}

// AskCarry lays clips of the second figure over the open one.
type AskCarry struct {
	Clips    string `js:"clips"` // JSON, their numbers; "": all
	Pins     string `js:"pins"`
	FreeFeet bool   `js:"freeFeet"` // feet are not kept on the ground
	Rename   string `js:"rename"`   // of the new clip; "": as in the second
}

// AskSave wants a file of what was carried last; for glb the open figure's files come
// beside it.
type AskSave struct {
	Format string `js:"format"` // glb or bvh
}

// AskTry applies a mend to a copy of the figure that is open for mending.
type AskTry struct {
	Mend   string `js:"mend"`
	Values string `js:"values"` // JSON, by parameter; "": all as they are without
	Why    string `js:"why"`    // the finding it answers, in words, for the plan
}

// AskBoard wants the figure from before and from its left, and where the points of a fit are.
type AskBoard struct {
	Values string `js:"values"` // of the fit, JSON by parameter; "": none is set
	Width  int    `js:"width"`  // pixels of each of the two pictures, which are told before it; 0: none is wanted
	Height int    `js:"height"`
	Night  bool   `js:"night"`
}

// AskSettle wants to know where a point goes that was put on one of the two pictures.
type AskSettle struct {
	Name string  `js:"name"` // of the point
	Side bool    `js:"side"` // on the picture from the left
	X    float64 `js:"x"`    // pixels
	Y    float64 `js:"y"`
	Was  string  `js:"was"` // where it was, "x y z"; "": nowhere yet
}

// AskKeep puts the mend on trial on the slip.
type AskKeep struct {
	Accept []string `js:"accept"` // planted checks that the person insists on
}

// AskSlip changes the mending slip; a refusal leaves it as it was.
type AskSlip struct {
	Act  string `js:"act"`  // back, forward, off, on or move
	Step int    `js:"step"` // from 0
	To   int    `js:"to"`   // of a move
}

// AskPlan wants to know what a plan would do; refused where it is none.
type AskPlan struct {
	Text string `js:"text"` // a plan as it was saved, or a proof sheet with one
}

// AskDoPlan does a plan on the figure as it was opened; what stood on the slip goes.
type AskDoPlan struct {
	Text string `js:"text"`
	GoOn bool   `js:"goOn"` // past a step whose outcome is not what the plan expects
}

// AskReopen reads the files beside it as those of the figure on the desk, for a page whose
// examiner is gone: nothing of it is shown anew but what the slip changed.
type AskReopen struct {
	Limits string `js:"limits"`
	Slip   string `js:"slip"`   // as it was told last, a mend.Saved in JSON; "": nothing was tried yet
	Beside string `js:"beside"` // JSON: of how many files each second figure is, which come last among those beside it; "": there is none
}

// AskHandOver wants what the kept mends made.
type AskHandOver struct {
	What string `js:"what"` // figure, plan or proof
	Date string `js:"date"` // stands on the proof sheet; "": none does
}

// AskReport wants the report of the open figure; its files come beside it.
type AskReport struct {
	Date  string `js:"date"`  // stands on the report; "": none does
	Units string `js:"units"` // what lengths are read in: m, cm or in; "": metres
}

// AskPlace wants a picture of a finding's place, as PNG.
type AskPlace struct {
	Number int  `js:"number"`
	Width  int  `js:"width"` // pixels
	Height int  `js:"height"`
	Night  bool `js:"night"`
}

// AskCompare sets an older examination beside that of the open figure.
type AskCompare struct {
	Before string `js:"before"` // the document that was told of it
}

// AskRow examines the files beside it for a line-up; without files it is the row of the
// open figure.
type AskRow struct {
	Name   string `js:"name"` // of the file, as the person calls it
	Limits string `js:"limits"`
	Width  int    `js:"width"` // pixels of the pictures told before it, by day and by night; 0: none
	Height int    `js:"height"`
}

// AskLineup joins rows to a table.
type AskLineup struct {
	Rows string `js:"rows"` // what AskRow answered, a JSON list
}

// AskLesson measures a lesson on the open figure.
type AskLesson struct {
	Name string   `js:"name"` // its id
	At   *float64 `js:"at"`   // where the dial stands; null: where the lesson puts it
}

// AskAnswer wants what the fault of a number does to the sample.
type AskAnswer struct {
	Fault int `js:"fault"`
}

// AskMark holds what learners found against an answer.
type AskMark struct {
	Answer   string   `js:"answer"`
	Findings []string `js:"findings"`
}
