package lineup

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/cells"
	"rigloupe/inspect/say"
)

// document is the table as the page and the command line write it.
// Document is a line-up, as WriteJSON writes it.
type Document = document

type document struct {
	Facts    int      `json:"facts"`
	Program  string   `json:"program"`
	Columns  []Column `json:"columns"`
	Argument Argument `json:"argument"`
	Rows     []Row    `json:"rows"`
}

// WriteJSON writes the table on one line with a newline at its end.
func (t *Table) WriteJSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(document{inspect.FactsVersion, "rigloupe " + inspect.Version, t.Columns, t.Argument, t.Rows}); err != nil {
		return fmt.Errorf("write the line-up: %w", err)
	}
	return nil
}

// WriteCSV writes the table as comma-separated values with a head row (RFC 4180):
// metres, shares as fractions, an empty cell where there is no value. Text from a
// file that a spreadsheet would run as a formula is marked as text.
func (t *Table) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"place", "file", "state"}
	for _, c := range t.Columns {
		name := c.Key
		switch c.Unit {
		case say.Metre:
			name += "_m"
		case say.Share:
			name += "_share"
		case say.Byte:
			name += "_bytes"
		}
		head = append(head, name)
	}
	if err := out.Write(append(head, "error")); err != nil {
		return err
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		place := ""
		if r.Place > 0 {
			place = strconv.Itoa(r.Place)
		}
		row := []string{place, cells.Text(r.File), r.State}
		for _, c := range t.Columns {
			switch v := r.Cells[c.Key].Value.(type) {
			case float64:
				row = append(row, strconv.FormatFloat(v, 'f', -1, 64))
			case string:
				row = append(row, cells.Text(v))
			default:
				row = append(row, "")
			}
		}
		if err := out.Write(append(row, cells.Text(r.Error))); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// Sort orders the rows by a column, "place" or "file"; a minus before it turns the
// way round. Equal rows stay as they are; those without a value stand last.
func (t *Table) Sort(by string) error {
	down, key := false, by
	if len(by) > 0 && by[0] == '-' {
		down, key = true, by[1:]
	}
	known := []string{"place", "file"}
	for _, c := range t.Columns {
		known = append(known, c.Key)
	}
	if !slices.Contains(known, key) {
		return fmt.Errorf("column %q is not known; there are %s", key, strings.Join(known, ", "))
	}
	value := func(r *Row) any {
		switch {
		case key == "file":
			return r.File
		case key != "place":
			return r.Cells[key].Value
		case r.Place == 0:
			return nil
		}
		return float64(r.Place)
	}
	slices.SortStableFunc(t.Rows, func(a, b Row) int {
		x, y := value(&a), value(&b)
		if x == nil || y == nil {
			return order(y != nil, x != nil)
		}
		d := 0
		switch x := x.(type) {
		case float64:
			if y, ok := y.(float64); ok {
				d = order(x > y, x < y)
			}
		case string:
			if y, ok := y.(string); ok {
				d = order(x > y, x < y)
			}
		}
		if down {
			return -d
		}
		return d
	})
	return nil
}

// order is 1 where after holds, −1 where before does.
func order(after, before bool) int {
	switch {
	case after && !before:
		return 1
	case before && !after:
		return -1
	}
	return 0
}
