package job

import (
	"encoding/json"
	"reflect"
	"strings"
)

// Tree returns the job as an object tree, as encoding/json reads it.
func (j Job) Tree() map[string]any {
	raw, err := json.Marshal(j)
	if err != nil {
		return map[string]any{} // a Job holds nothing that cannot be written
	}
	var tree map[string]any
	if json.Unmarshal(raw, &tree) != nil {
		return map[string]any{}
	}
	return tree
}

// Value returns the entry of a tree at a field's path, nil where it has none.
func Value(tree map[string]any, path string) any {
	section, key, _ := strings.Cut(path, ".")
	entries, _ := tree[section].(map[string]any)
	return entries[key]
}

// Change is one field in which two jobs differ.
type Change struct {
	Path  string `json:"path"`
	Label string `json:"label"`
	Unit  string `json:"unit,omitempty"`
	From  any    `json:"from"`
	To    any    `json:"to"`
}

// Changes lists the fields in which two jobs differ, in the order of the table.
func Changes(from, to Job) []Change {
	a, b := from.Tree(), to.Tree()
	var out []Change
	for _, f := range Fields() {
		x, y := Value(a, f.Path), Value(b, f.Path)
		if !reflect.DeepEqual(x, y) {
			out = append(out, Change{f.Path, f.Label, f.Unit, x, y})
		}
	}
	return out
}
