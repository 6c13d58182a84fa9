package inspect

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/bends"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/check"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/surface"
)

// Catalogue is every station, in the order of the work.
func Catalogue() []check.Station {
	return []check.Station{
		intake.Station,
		surface.Station,
		skeleton.Station,
		binding.Station,
		bends.Station,
		motion.Station,
	}
}

// ParseLimits reads {"surface/lopsided": {"share": 0.02}}. An unknown check or
// limit is an error that names the ones there are.
func ParseLimits(data []byte) (check.Overrides, error) {
	var o check.Overrides
	if err := json.Unmarshal(data, &o); err != nil {
		return nil, fmt.Errorf(`limits: want {"check/id": {"limit": number}}: %w`, err)
	}
	entries := map[string]check.Entry{}
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			entries[e.ID] = e
		}
	}
	for _, id := range slices.Sorted(maps.Keys(o)) {
		e, ok := entries[id]
		if !ok {
			return nil, fmt.Errorf("limits: there is no check %q; `rigloupe checks` lists them", id)
		}
		for _, name := range slices.Sorted(maps.Keys(o[id])) {
			var names []string
			for _, l := range e.Limits {
				names = append(names, l.Name)
			}
			if !slices.Contains(names, name) {
				have := "none"
				if len(names) > 0 {
					have = strings.Join(names, ", ")
				}
				return nil, fmt.Errorf("limits: check %s has no limit %q; it has %s", id, name, have)
			}
			if v := o[id][name]; math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("limits: %s %s is not a number", id, name)
			}
		}
	}
	return o, nil
}
