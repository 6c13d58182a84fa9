package anatomy

import (
	"slices"
	"strings"
	"sync"
	"unicode"
)

// reading is what a name says.
type reading struct {
	tokens  []string
	side    Side
	word    word
	said    string // the tokens that made word
	phase   int8   // of a digit: 0 metacarpal … 3 distal; −1: not said
	number  int    // last number; −1: none
	unknown int    // tokens that no list holds
	key     string // tokens with the side left open, for finding the partner
}

type dictionary struct {
	words         map[string]word
	sides         map[string]Side
	filler, order map[string]bool
}

var lexicon = sync.OnceValue(func() *dictionary {
	d := &dictionary{words: map[string]word{}, sides: map[string]Side{}, filler: set(fillerWords), order: set(orderWords)}
	for w, list := range vocabulary {
		for _, s := range strings.Fields(list) {
			d.words[s] = w
		}
	}
	for side, list := range map[Side]string{Left: leftWords, Right: rightWords, Centre: centreWords} {
		for _, s := range strings.Fields(list) {
			d.sides[s] = side
		}
	}
	return d
})

func set(list string) map[string]bool {
	m := map[string]bool{}
	for _, s := range strings.Fields(list) {
		m[s] = true
	}
	return m
}

// tokens takes a name apart: the namespace goes, then it is cut at separators, at
// a lower letter before an upper one, and between letters and digits; a run of
// capitals stays whole until a lower letter follows. All is lower case, accents
// are folded.
func tokens(name string) []string {
	if i := strings.LastIndexAny(name, ":|"); i >= 0 {
		name = name[i+1:]
	}
	var out []string
	var run []rune
	flush := func() {
		if len(run) > 0 {
			out = append(out, fold(run))
			run = run[:0]
		}
	}
	class := func(r rune) int {
		switch {
		case unicode.IsDigit(r):
			return 1
		case unicode.IsUpper(r):
			return 2
		case unicode.IsLetter(r):
			return 3
		case unicode.Is(unicode.Mn, r):
			return 4
		}
		return 0
	}
	runes := []rune(name)
	for i, r := range runes {
		c := class(r)
		switch {
		case c == 4: // a combining accent
			continue
		case c == 0:
			flush()
			continue
		}
		if len(run) > 0 {
			p := class(run[len(run)-1])
			switch {
			case (p == 1) != (c == 1), p == 3 && c == 2:
				flush()
			case p == 2 && c == 3 && len(run) > 1:
				last := run[len(run)-1]
				run = run[:len(run)-1]
				flush()
				run = append(run, last)
			}
		}
		run = append(run, runes[i])
	}
	flush()
	return out
}

var accents = map[rune]string{
	'à': "a", 'á': "a", 'â': "a", 'ã': "a", 'ä': "a", 'å': "a", 'ç': "c", 'è': "e", 'é': "e", 'ê': "e", 'ë': "e",
	'ì': "i", 'í': "i", 'î': "i", 'ï': "i", 'ñ': "n", 'ò': "o", 'ó': "o", 'ô': "o", 'õ': "o", 'ö': "o", 'ø': "o",
	'ù': "u", 'ú': "u", 'û': "u", 'ü': "u", 'ß': "ss", 'œ': "oe", 'æ': "ae", 'ō': "o", 'ū': "u", 'ý': "y", 'ÿ': "y",
}

func fold(run []rune) string {
	var b strings.Builder
	for _, r := range run {
		r = unicode.ToLower(r)
		if s, ok := accents[r]; ok {
			b.WriteString(s)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func isNumber(s string) bool { return s[0] >= '0' && s[0] <= '9' }

// readNames reads all names together: what most of them share says nothing, and a
// single letter is a side only when the same name with the other letter is there.
func readNames(names []string) []reading {
	d := lexicon()
	out := make([]reading, len(names))
	count, named, counted := map[string]int{}, 0, 0
	for i, name := range names {
		t := tokens(name)
		out[i] = reading{tokens: t, phase: -1, number: -1}
		if len(t) == 0 {
			continue
		}
		named++
		if len(t) > 1 && isNumber(t[len(t)-1]) {
			counted++
		}
		seen := map[string]bool{}
		for _, s := range t {
			if !seen[s] {
				seen[s] = true
				count[s]++
			}
		}
	}
	common := map[string]bool{}
	if named >= 5 {
		for s, c := range count {
			if c*5 > named*4 && d.sides[s] == NoSide && otherLetter[s] == "" && !isNumber(s) {
				common[s] = true
			}
		}
		if counted*5 > named*4 && runsOn(out) { // a running counter at the end of nearly every name
			for i := range out {
				if t := out[i].tokens; len(t) > 1 && isNumber(t[len(t)-1]) {
					out[i].tokens = t[:len(t)-1]
				}
			}
		}
	}
	all := map[string]bool{}
	for i := range out {
		all[strings.Join(out[i].tokens, " ")] = true
	}
	habit := letterHabit(out, all)
	for i := range out {
		out[i].read(d, common, all, habit)
	}
	return out
}

// leastPairs of names that differ in a side's letter alone make it a habit of the rig.
const leastPairs = 3

// letterHabit tells for each short side token whether this rig parts its sides by it:
// then a name whose partner is missing has a side all the same.
func letterHabit(names []reading, all map[string]bool) map[string]bool {
	pairs := map[string]int{}
	for i := range names {
		t := slices.Clone(names[i].tokens)
		for k, s := range t {
			if other := otherLetter[s]; other != "" {
				if t[k] = other; all[strings.Join(t, " ")] {
					pairs[s]++
				}
				t[k] = s
			}
		}
	}
	habit := map[string]bool{}
	for s, n := range pairs {
		habit[s] = n >= leastPairs
	}
	return habit
}

// runsOn tells that the numbers at the end of the names are a counter that runs on
// through all of them: without it nearly all names stay apart. In leg_1, leg_2 it
// counts the joints of a limb.
func runsOn(names []reading) bool {
	with, without := map[string]bool{}, map[string]bool{}
	for i := range names {
		t := names[i].tokens
		with[strings.Join(t, " ")] = true
		if len(t) > 1 && isNumber(t[len(t)-1]) {
			t = t[:len(t)-1]
		}
		without[strings.Join(t, " ")] = true
	}
	return len(without)*10 >= len(with)*9
}

// read fills a reading from its tokens.
func (r *reading) read(d *dictionary, common, all, habit map[string]bool) {
	key := make([]string, len(r.tokens))
	copy(key, r.tokens)
	content := make([]string, 0, len(r.tokens))
	for i, s := range r.tokens {
		side := d.sides[s]
		if other := otherLetter[s]; other != "" {
			key[i] = other
			if habit[s] || all[strings.Join(key, " ")] {
				side = Left
				if s == "r" || s == "d" || s == "re" {
					side = Right
				}
			}
			key[i] = s
		} else if (s == "c" || s == "m") && i == 0 && len(r.tokens) > 1 {
			side = Centre
		}
		if side != NoSide && (r.side == NoSide || r.side == Centre) {
			r.side = side
			if side != Centre {
				key[i] = "*"
			}
			continue
		}
		switch {
		case isNumber(s):
			r.number = 0
			for _, c := range s {
				if c < '0' || c > '9' || r.number > 1e6 {
					break
				}
				r.number = r.number*10 + int(c-'0')
			}
			continue
		case common[s], d.filler[s]:
			continue
		}
		if p, ok := phases[s]; ok {
			r.phase = p
			continue
		}
		if len(s) == 1 && s >= "a" && s <= "c" && i == len(r.tokens)-1 {
			r.number = int(s[0] - 'a')
		}
		content = append(content, s)
	}
	r.key = strings.Join(key, " ")
	r.match(d, content)
}

// match finds the role words, longest first, and keeps the one that weighs most.
func (r *reading) match(d *dictionary, content []string) {
	for i := 0; i < len(content); {
		n, w := 1, nothing
		for k := min(3, len(content)-i); k > 0; k-- {
			if x, ok := d.words[strings.Join(content[i:i+k], "")]; ok {
				n, w = k, x
				break
			}
		}
		said := strings.Join(content[i:i+n], " ")
		switch {
		case said == "main" && r.side != Left && r.side != Right:
			w = rootWord // French hand only with a side
		case (said == "me" || said == "te") && r.side != Left && r.side != Right:
			w = nothing
		case said == "e" && (i == 0 || i < len(content)-1):
			w = nothing
		}
		switch {
		case w == nothing:
			if !d.order[said] {
				r.unknown++
			}
		case weight(w) >= weight(r.word):
			r.word, r.said = w, said
		}
		i += n
	}
}

// weight ranks the words of one name: a helper or an end stays one whatever else
// the name says, a digit outweighs the hand it is on, the root yields to all.
func weight(w word) int {
	switch w {
	case nothing:
		return 0
	case rootWord:
		return 1
	case thumbWord, indexWord, middleWord, ringWord, littleWord:
		return 3
	case beastWord:
		return 4
	case endWord:
		return 5
	case helperWord:
		return 6
	}
	return 2
}
