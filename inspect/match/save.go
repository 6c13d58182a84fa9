package match

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"rigloupe/inspect/cells"
	"rigloupe/inspect/rig"
)

// Version is that of the saved table's meanings.
const Version = 1

// document is the table as JSON.
type document struct {
	Match     int       `json:"match"`
	Source    file      `json:"source"`
	Target    file      `json:"target"`
	Mirrored  bool      `json:"mirrored"`
	Pairs     []row     `json:"pairs"`
	Unmatched unmatched `json:"unmatched"`
	Remarks   []string  `json:"remarks"`
}

type file struct {
	Name   string `json:"name"`
	Joints int    `json:"joints"`
}

type place struct {
	Node *rig.Node `json:"node" wire:"number"` // nil only in a table by names that is read
	Name rig.Name  `json:"name"`               // null: it has none
}

type row struct {
	Source     *place  `json:"source"` // null: the target joint is pinned to nothing
	Target     *place  `json:"target"` // null: the source joint is pinned to nothing
	Beside     *place  `json:"beside,omitempty"`
	Share      float64 `json:"share,omitempty"` // of beside
	Role       *string `json:"role"`
	Confidence float64 `json:"confidence"`
	Pinned     bool    `json:"pinned"`
	Evidence   string  `json:"evidence"`
}

type unmatched struct {
	Source []left `json:"source"`
	Target []left `json:"target"`
}

type left struct {
	Node rig.Node `json:"node"`
	Name rig.Name `json:"name"`
	Why  string   `json:"why"`
}

func (s *Skeleton) placeOf(n rig.Node) *place {
	if n < 0 {
		return nil
	}
	return &place{&n, rig.Name(s.Name(n))}
}

// Document is a table of pairs, as WriteJSON writes it.
type Document = document

// WriteJSON writes the table as our JSON: what ReadPins reads again.
func (m *Match) WriteJSON(w io.Writer) error {
	d := document{
		Match: Version, Mirrored: m.Mirrored, Pairs: []row{}, Remarks: append([]string{}, m.Remarks...),
		Source:    file{m.S.Rig.File.Name, len(m.S.Joints)},
		Target:    file{m.T.Rig.File.Name, len(m.T.Joints)},
		Unmatched: unmatched{[]left{}, []left{}},
	}
	for _, p := range m.Pairs {
		r := row{Source: m.S.placeOf(p.Source), Target: m.T.placeOf(p.Target), Beside: m.S.placeOf(p.Beside),
			Share: round(p.Share), Confidence: round(p.Confidence), Pinned: p.Pinned, Evidence: p.Evidence}
		if p.Role != "" {
			r.Role = &p.Role
		}
		d.Pairs = append(d.Pairs, r)
	}
	for _, l := range m.Source {
		d.Unmatched.Source = append(d.Unmatched.Source, left{l.Node, rig.Name(m.S.Name(l.Node)), l.Why})
	}
	for _, l := range m.Target {
		d.Unmatched.Target = append(d.Unmatched.Target, left{l.Node, rig.Name(m.T.Name(l.Node)), l.Why})
	}
	for _, p := range m.apart { // pinned to nothing
		d.Pairs = append(d.Pairs, row{Source: m.S.placeOf(p.Source), Target: m.T.placeOf(p.Target), Confidence: 1, Pinned: true, Evidence: "set by hand: no pair"})
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(d)
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }

var columns = []string{"source node", "source", "target node", "target", "beside node", "beside", "share", "role", "confidence", "pinned", "evidence"}

// WriteCSV writes the table as rows: a pair, or a joint without one, each. Cells
// that a spreadsheet would take for a formula begin with an apostrophe.
func (m *Match) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	if err := c.Write(columns); err != nil {
		return err
	}
	node := func(n rig.Node) string {
		if n < 0 {
			return ""
		}
		return strconv.Itoa(int(n))
	}
	name := func(s *Skeleton, n rig.Node) string {
		if n < 0 {
			return ""
		}
		return cells.Text(s.Name(n))
	}
	put := func(s, t, beside rig.Node, share float64, role string, confidence float64, pinned bool, evidence string) {
		part := ""
		if beside >= 0 {
			part = strconv.FormatFloat(round(share), 'f', -1, 64)
		}
		_ = c.Write([]string{node(s), name(m.S, s), node(t), name(m.T, t), node(beside), name(m.S, beside), part, role,
			strconv.FormatFloat(round(confidence), 'f', -1, 64), strconv.FormatBool(pinned), cells.Text(evidence)})
	}
	for _, p := range m.Pairs {
		put(p.Source, p.Target, p.Beside, p.Share, p.Role, p.Confidence, p.Pinned, p.Evidence)
	}
	for _, p := range m.apart {
		put(p.Source, p.Target, rig.None, 0, "", 1, true, "set by hand: no pair")
	}
	for _, l := range m.Source {
		put(l.Node, rig.None, rig.None, 0, "", 0, false, l.Why)
	}
	for _, l := range m.Target {
		put(rig.None, l.Node, rig.None, 0, "", 0, false, l.Why)
	}
	c.Flush()
	return c.Error()
}

// ReadPins reads a saved table, JSON or CSV, for these two rigs: the pairs that it
// marks as pinned or, when it marks none, all of them. A joint is found by its node
// and name; where these do not agree any more, by its name alone, which must then be
// the only one of that name.
func ReadPins(data []byte, source, target *rig.Rig) ([]Pin, error) {
	rows, err := readRows(data)
	if err != nil {
		return nil, err
	}
	any := false
	for _, r := range rows {
		any = any || r.Pinned
	}
	var out []Pin
	for k, r := range rows {
		if any && !r.Pinned || r.Source == nil && r.Target == nil {
			continue
		}
		if !any && (r.Source == nil || r.Target == nil) {
			continue // a joint without a pair, listed only
		}
		p := Pin{Source: rig.None, Target: rig.None, Beside: rig.None}
		for _, e := range []struct {
			what string
			at   *place
			r    *rig.Rig
			to   *rig.Node
		}{{"source", r.Source, source, &p.Source}, {"target", r.Target, target, &p.Target}, {"beside", r.Beside, source, &p.Beside}} {
			if e.at == nil {
				continue
			}
			n, err := findNode(e.r, e.at)
			if err != nil {
				return nil, fmt.Errorf("pair %d: %s: %w", k+1, e.what, err)
			}
			*e.to = n
		}
		if p.Beside >= 0 {
			p.Share = r.Share
		}
		out = append(out, p)
	}
	return out, nil
}

func findNode(r *rig.Rig, p *place) (rig.Node, error) {
	in := p.Node != nil && *p.Node >= 0 && int(*p.Node) < len(r.Nodes)
	if in && r.Nodes[*p.Node].Name == string(p.Name) {
		return *p.Node, nil
	}
	found, count := rig.Node(rig.None), 0
	for i := range r.Nodes {
		if r.Nodes[i].Name == string(p.Name) {
			found = rig.Node(i)
			count++
		}
	}
	switch {
	case count == 1:
		return found, nil
	case count > 1:
		return 0, fmt.Errorf("%d nodes of %q are called %q; give the node as well", count, r.File.Name, p.Name)
	case in && p.Name == "":
		return *p.Node, nil
	}
	return 0, fmt.Errorf("no node of %q is called %q", r.File.Name, p.Name)
}

func readRows(data []byte) ([]row, error) {
	data = bytes.TrimPrefix(bytes.TrimSpace(data), []byte("\xef\xbb\xbf"))
	if len(data) == 0 {
		return nil, errors.New("the table is empty")
	}
	if data[0] == '{' {
		var d document
		if err := json.Unmarshal(data, &d); err != nil {
			return nil, fmt.Errorf("the table is no JSON of ours: %w", err)
		}
		if d.Match != Version {
			return nil, fmt.Errorf("the table says \"match\": %d; this program reads %d", d.Match, Version)
		}
		return d.Pairs, nil
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.FieldsPerRecord = -1
	if head, _, _ := bytes.Cut(data, []byte("\n")); bytes.Count(head, []byte(";")) > bytes.Count(head, []byte(",")) {
		c.Comma = ';'
	}
	all, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("the table is no CSV: %w", err)
	}
	at := map[string]int{}
	for i, h := range all[0] {
		at[h] = i
	}
	_, s := at["source"]
	_, t := at["target"]
	if !s || !t {
		return nil, errors.New("the table's first line must name the columns source and target")
	}
	var rows []row
	for i, rec := range all[1:] {
		get := func(name string) string {
			if k, ok := at[name]; ok && k < len(rec) {
				v := rec[k]
				if len(v) > 1 && v[0] == '\'' && cells.Text(v[1:]) == v {
					v = v[1:]
				}
				return v
			}
			return ""
		}
		var r row
		for _, e := range []struct {
			node, name string
			to         **place
		}{{get("source node"), get("source"), &r.Source}, {get("target node"), get("target"), &r.Target}, {get("beside node"), get("beside"), &r.Beside}} {
			if e.node == "" && e.name == "" {
				continue
			}
			p := &place{Name: rig.Name(e.name)}
			if e.node != "" {
				n, err := strconv.ParseInt(e.node, 10, 32)
				if err != nil {
					return nil, fmt.Errorf("line %d of the table: node %q is no number", i+2, e.node)
				}
				node := rig.Node(n)
				p.Node = &node
			}
			*e.to = p
		}
		if share := get("share"); share != "" {
			v, err := strconv.ParseFloat(share, 64)
			if err != nil || !(v >= 0 && v <= 1) {
				return nil, fmt.Errorf("line %d of the table: share %q is no number from 0 to 1", i+2, share)
			}
			r.Share = v
		}
		r.Pinned, _ = strconv.ParseBool(get("pinned"))
		rows = append(rows, r)
	}
	return rows, nil
}
