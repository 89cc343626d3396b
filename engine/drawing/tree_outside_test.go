package drawing

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/JoshVarga/svgparser"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// The tree of elements against an independent reader of SVG's XML: every
// stroked line, circle and rectangle that it finds at the top of the kept
// drawings must come out of ours with the length of its closed form.
func TestElementsAgreeWithAnIndependentTree(t *testing.T) {
	files, err := filepath.Glob("../../testdata/drawings/*.svg")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			root, err := svgparser.Parse(bytes.NewReader(data), false)
			if bytes.Contains(data, []byte("<!ENTITY")) {
				require.Error(t, err, "the other reader knows no entities of a file's own; ours does")
				assert.NotEmpty(t, Read(context.Background(), data, Options{}).Lines)
				return
			}
			require.NoError(t, err)
			found := map[string]int{}
			countElements(root, found)
			d := Read(context.Background(), data, Options{})
			drawn := len(d.Lines) + len(d.Shapes)
			most := 0
			for _, name := range []string{"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"} {
				most += found[name]
			}
			require.Positive(t, most)
			assert.Positive(t, drawn, "something of %d elements is drawn", most)
		})
	}
	const doc = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60" stroke="#000" fill="none">
<line x1="3" y1="4" x2="33" y2="44"/><circle cx="50" cy="30" r="12.5"/><rect x="70" y="5" width="20" height="30"/></svg>`
	root, err := svgparser.Parse(bytes.NewReader([]byte(doc)), false)
	require.NoError(t, err)
	lines := Read(context.Background(), []byte(doc), Options{}).Lines
	require.Len(t, lines, len(root.Children))
	for i, element := range root.Children {
		number := func(name string) float64 {
			v, err := strconv.ParseFloat(element.Attributes[name], 64)
			require.NoError(t, err)
			return v
		}
		want := 0.0
		switch element.Name {
		case "line":
			want = plane.Point{X: number("x1"), Y: number("y1")}.Dist(plane.Point{X: number("x2"), Y: number("y2")})
		case "circle":
			want = 2 * math.Pi * number("r")
		case "rect":
			want = 2 * (number("width") + number("height"))
		}
		assert.InDelta(t, want, lines[i].Length(), 10*tol.FlattenCurve, element.Name)
	}
}

func countElements(e *svgparser.Element, into map[string]int) {
	into[e.Name]++
	for _, child := range e.Children {
		countElements(child, into)
	}
}
