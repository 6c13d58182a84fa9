// Command rigloupe examines rigs on the terminal: the same engine, numbers and
// pictures as the page.
//
// What it writes: the answer on standard output, everything else on standard
// error. Colour is never used; the marks of the three grades differ in shape.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
)

// Exit codes.
const (
	exitDone   = 0
	exitGrade  = 1 // a finding of the --fail-on grade or worse
	exitCall   = 2 // wrong call
	exitUnread = 3 // a file could not be read or written
)

const usage = `rigloupe examines character rigs: what is wrong, where, by how much, what mends it.
Nothing leaves this machine.

  rigloupe examine FILE…              each file in one screen: verdict, stops, flaws
      --why                           with the reason and what to do
      --notes                         with the notes, those of one kind in a row
      --json                          one JSON document a file, one a line
      --json --jobs N                 a library: folders with all below, patterns, N models at
                                      a time; a line each, in order, with path and sha256
      --list FILE                     with names of models, a line each; - is standard input
      --resume OUT.jsonl              adds to OUT what it does not hold yet, by path and hash
      --only intake,binding           these stations only
      --limits FILE.json              other limits, {"surface/lopsided": {"share": 0.02}}
      --fail-on stop|flaw|note|never  exit with 1 when such a finding exists (default stop)
      --all                           everything whole, every list of names to its end
      --timings                       how long each station took
      --units m|cm|in                 what lengths are read in, on a report too; JSON stays in metres
      --joints-csv FILE.csv           the table of joints of one file's skins
      --junit FILE.xml                what fails, as build servers read it
      --baseline OLD.json             only what is new since that saved examination counts
      --report R.html                 the report of one file, to be printed and signed; --date TEXT stands on it
  rigloupe compare OLD NEW            one figure twice, models or saved JSON: what is new, worse,
                                      gone, better; numbers side by side
      --json   --limits FILE.json     as of examine
      --fail-on stop|flaw|note|never  exit with 1 when such a finding is new (default stop)
  rigloupe road FILE                  the steps from a download to a moving character: what is
      --json   --limits FILE.json     done, what is left, what comes next
  rigloupe lineup FILE|FOLDER…        several models in one table, best for rigging first, and why;
      --jobs N                        of a folder all models in it and below, N at a time (default 1)
      --json                          one JSON document    --csv FILE.csv  the table for a spreadsheet
      --sort COLUMN                   by another column; -COLUMN the other way round
      --only, --limits                as of examine
      --fail-on stop|flaw|note|never  exit with 1 when even the best has such a finding that
                                      counts for rigging (default stop)
  rigloupe pose FILE --out P.f32      deformed world positions, float32 little-endian x y z
      --clip N|NAME --at SECONDS      without --clip: the rest pose
      --move JOINT --axis flexion|abduction|rotation|x|y|z --degrees N
                                      one joint turned as the bend set turns it
      --method linear|dual
  rigloupe probe FILE --vertex NODE:PRIMITIVE:ELEMENT
                                      the skinning sum of one vertex, written out
      --clip N|NAME --at SECONDS --method linear|dual   --json
      --move JOINT --axis NAME --degrees N
  rigloupe picture FILE --out P.png   the picture that the page shows
      --lens NAME --joint NAME        painted, plain, influence, dominant, count,
                                      mirror-surface, mirror-weights; of the pose shown:
                                      stretch, turned-over; or of a station:
                                      shells, winding, detail-at-risk (--weld METRES),
                                      mirror-pairs, section-depth, weight-sum, roughness, …
      --finding N                     inks that finding of the ledger and goes there,
                                      in its own pose where it is one of Bends
      --joint NAME --section          inks the section of the surface around that joint
      --clip N|NAME --at SECONDS --method linear|dual
      --move JOINT --axis flexion --degrees 60   that pose of the bend set; --axis also abduction,
                                      rotation, or x, y, z where a joint has no role
      --split                         left by linear blend, right by dual quaternion
      --from three-quarter|front|left|back   --size 1280x800   --paper day|night
      --no-bones --no-pointers
  rigloupe bends FILE                 every joint to the ends of its range, the worst first
      --top 20 (0: all) --csv --json
  rigloupe clip FILE --clip N|NAME    where each joint is keyed and where it moves
      --sort tree|still|turn --columns 60 --json
      --joint NAME                    the curves of one joint: CSV, or with --json
  rigloupe match SOURCE TARGET        which joint moves which; --json or --csv saves the table
      --pins FILE                     pairs set by hand (a saved table): the rest is solved around them
  rigloupe carry SOURCE TARGET --out OUT.glb|OUT.bvh
                                      lays a clip of SOURCE over TARGET's skeleton (retargeting)
                                      and tells what it kept and lost (--json; without --out: only tells)
      --clip N|NAME|all               which of several; a .bvh holds one
      --pins FILE                     a table of match
      --free-feet                     does not keep standing feet in place
      --all                           with the rows that are as they should be
      --name NAME                     of the new clip
  rigloupe carry SOURCE|FOLDER… TARGET --out DIR|OUT.glb
                                      all clips of several sources, a line each: into DIR a copy of
                                      TARGET a source, into OUT.glb all in one; what cannot be
                                      carried costs only itself (exit 3)
  rigloupe mend FILE --suggest        what the findings call for, tried out, as a plan (JSON)
      --limits FILE.json              as of examine
  rigloupe mend FILE --with PLAN.json --out NEW.glb
                                      does a plan on a copy; every step is examined again, and
                                      kept where what it aims at clears and nothing is planted
      --only N                        that step alone        --dry-run  writes nothing
      --go-on                         past a step that does not do what the plan expects
      --json                          the receipts
      --proof SHEET.html              the proof sheet, to be printed and signed; --date TEXT stands on it
                                      (--with takes such a sheet, too: it holds the plan)
      --with MEND                     one mend by itself, no plan: --with fit, with the values that
      --set NAME=VALUE                are set; the words of pairs behind a dot: --set points.knee="0.1 0.5 0"
      --part OTHER.glb                a second file, for a step that takes a part from it, in a plan too;
                                      without --with: takes it (--set surfaces=Coat)
  rigloupe verify SHEET.html FILE     whether a report or proof sheet is about this file (of a mend
                                      the one that came in or the one that was written), and
                                      unchanged (else 1; --json)
  rigloupe mends                      every mend: what it does, answers and takes   (--json)
  rigloupe checks                     every check: id, title, limits, source   (--json, --markdown)
      --ceilings                      what a file may ask for at most
  rigloupe lesson                     the lessons, and the faults of the sample by number
  rigloupe lesson FILE --name LESSON  a lesson on this figure: idea, task, its numbers
      --at N   --json                 with its dial there: degrees, seconds or step
  rigloupe sample --out S.glb         the sample figure   (--pose T|A, --names plain|snake|prefix,
                                      --vertices N, --fault CHECK plants the fault that
                                      the check finds, --fault N that of a number)
      --answer ANSWER.json            what the fault of that number is, for mark
  rigloupe mark ANSWER.json FINDINGS.json…
                                      what learners found in a faulty sample, against what was
                                      planted (--json)
  rigloupe version                    (--licences: with the notices of what is linked)

rigloupe COMMAND --help says what one command takes.
FILE is a .glb, .vrm, .gltf with its files beside it, a .zip of those, or a .bvh of
motion capture; "sample" is the built-in figure and - is standard input.
An output is written beside its place and takes it when it is whole; it may not be a
file that is read, nor a pipe or a disk. - is standard output; words then go to
standard error.
Exit: 0 done; 1 --fail-on met, a mend not kept, a sheet that does not fit; 2 wrong call; 3 a file could not be read or written.
`

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// program is one call: where it reads and writes.
type program struct {
	in       io.Reader
	out, err io.Writer
	csv      io.Writer // standard output for comma-separated values: to the byte
	inputs   []input   // the files read so far
}

// callError is the caller's mistake.
type callError struct{ text string }

func (e callError) Error() string { return e.text }

func run(args []string, in io.Reader, out, errs io.Writer) int {
	lost := &stdout{w: out}
	errs = &tame{w: errs}
	p := &program{in: in, out: &tame{w: lost}, csv: lost, err: errs}
	if len(args) == 0 {
		fmt.Fprint(errs, usage)
		return exitCall
	}
	code, err := p.command(args[0], args[1:])
	if _, help := err.(helpAsked); help {
		fmt.Fprint(p.out, helpOf(args[0]))
		code, err = exitDone, nil
	}
	var call callError
	switch {
	case errors.As(err, &call):
		fmt.Fprintf(errs, "rigloupe %s: %s\n", line(args[0]), line(err.Error()))
		return exitCall
	case lost.err != nil: // whatever else was wrong: the answer is not whole
		fmt.Fprintf(errs, "rigloupe: the answer could not be written: %s\n", reason(lost.err))
		return exitUnread
	case err != nil:
		fmt.Fprintf(errs, "rigloupe: %s\n", line(err.Error()))
		return exitUnread
	}
	return code
}

// command runs one command. No file may make a panic; one that happens all the same is
// told in a line, like any other file that cannot be read.
func (p *program) command(name string, args []string) (code int, err error) {
	defer rescue(&err)
	switch name {
	case "examine":
		return p.examine(args)
	case "compare":
		return p.compare(args)
	case "road":
		return p.road(args)
	case "lineup":
		return p.lineup(args)
	case "pose":
		return p.pose(args)
	case "probe":
		return p.probe(args)
	case "picture":
		return p.picture(args)
	case "bends":
		return p.bends(args)
	case "clip":
		return p.clip(args)
	case "match":
		return p.match(args)
	case "carry":
		return p.carry(args)
	case "mend":
		return p.mend(args)
	case "mends":
		return p.mends(args)
	case "verify":
		return p.verify(args)
	case "checks":
		return p.checks(args)
	case "lesson":
		return p.lesson(args)
	case "mark":
		return p.mark(args)
	case "sample":
		return p.sample(args)
	case "version", "--version":
		return p.version(args)
	case "help", "--help", "-h":
		switch {
		case len(args) == 0:
			fmt.Fprint(p.out, usage)
		case helpOf(args[0]) == usage:
			return 0, callError{fmt.Sprintf("there is no command %q; rigloupe help lists them", args[0])}
		default:
			fmt.Fprint(p.out, helpOf(args[0]))
		}
	default:
		return 0, callError{fmt.Sprintf("there is no command %q; rigloupe help lists them", name)}
	}
	return exitDone, nil
}

// helpAsked ends a command that was asked for its help: flags are those it takes.
type helpAsked struct{ flags *flag.FlagSet }

func (helpAsked) Error() string { return flag.ErrHelp.Error() }

// helpOf is the part of the usage that is about one command, with what it says of files
// and exit codes.
func helpOf(command string) string {
	blocks := strings.SplitAfter(usage, "\n\n") // what it is, the commands, files and codes
	var b strings.Builder
	ours := false
	for text := range strings.Lines(blocks[1]) {
		if rest, begins := strings.CutPrefix(text, "  rigloupe "); begins {
			name, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
			ours = name == command
		}
		if ours {
			b.WriteString(text)
		}
	}
	if b.Len() == 0 {
		return usage
	}
	return strings.TrimRight(b.String(), "\n") + "\n\n" + blocks[2]
}

// parse takes flags before, between and after the files, and answers the files.
func parse(f *flag.FlagSet, args []string) (files []string, err error) {
	f.SetOutput(io.Discard)
	for {
		if err := f.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return nil, helpAsked{f}
			}
			return nil, callError{optionWords(err.Error())}
		}
		if f.NArg() == 0 {
			return files, nil
		}
		files, args = append(files, f.Arg(0)), f.Args()[1:]
	}
}

// Of what package flag says when an option cannot be taken: the option is written as
// people type it, with two dashes, and what it wants is said.
var (
	badValue = regexp.MustCompile(`(?s)^invalid (?:boolean )?value (".*") for (?:flag )?-([^ ]+): (.*)$`)
	noValue  = regexp.MustCompile(`^flag needs an argument: -(.+)$`)
)

// optionWords is what package flag says of an option, in our words.
func optionWords(said string) string {
	if m := badValue.FindStringSubmatch(said); m != nil {
		switch {
		case m[3] == "parse error" && strings.HasPrefix(said, "invalid boolean"):
			return fmt.Sprintf("--%s %s: it takes no value", m[2], m[1])
		case m[3] == "parse error", m[3] == "value out of range":
			return fmt.Sprintf("--%s %s: want a number", m[2], m[1])
		}
		return fmt.Sprintf("--%s %s: %s", m[2], m[1], m[3])
	}
	if m := noValue.FindStringSubmatch(said); m != nil {
		return fmt.Sprintf("--%s: a value is missing after it", m[1])
	}
	return strings.ReplaceAll(said, "flag provided but not defined: -", "there is no option --")
}

// one answers the single file a command works on.
func one(files []string) (string, error) {
	if len(files) != 1 {
		return "", callError{fmt.Sprintf("want one file, got %d", len(files))}
	}
	return files[0], nil
}
