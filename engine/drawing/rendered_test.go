package drawing

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// renderedSide is the width and height in pixels at which the drawings were
// rendered.
const renderedSide = 400

// The drawings under testdata/drawings/rendered mix shapes, paths, styles,
// transforms, clip paths, symbols and nested pages at random. areas.csv holds
// how many pixels of each colour Chromium 156 shows of them at 400 × 400;
// "mixed" are pixels on the border between colours. Zones must show the same,
// up to the border pixels and 0.1 % of the page, which is what the corners of
// unevenly stretched strokes differ by.
func TestZonesShowWhatABrowserShows(t *testing.T) {
	folder := filepath.Join("..", "..", "testdata", "drawings", "rendered")
	file, err := os.Open(filepath.Join(folder, "areas.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	want := map[string]map[string]int{}
	for _, row := range rows[1:] {
		if want[row[0]] == nil {
			want[row[0]] = map[string]int{}
		}
		want[row[0]][row[1]], err = strconv.Atoi(row[2])
		require.NoError(t, err)
	}
	names, err := filepath.Glob(filepath.Join(folder, "*.svg"))
	require.NoError(t, err)
	require.Len(t, names, len(want), "a drawing without its areas, or areas without their drawing")
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			got := shown(Read(context.Background(), data, Options{StrokesAsShapes: true}))
			areas := want[filepath.Base(name)]
			allowed := float64(areas["mixed"]) + 0.001*renderedSide*renderedSide
			for colour, pixels := range areas {
				if colour != "mixed" {
					assert.InDelta(t, pixels, got[colour], allowed, colour)
				}
			}
			for colour, pixels := range got {
				assert.InDelta(t, areas[colour], pixels, allowed, colour)
			}
			// Taken together the differences stay within the border too.
			differ := 0.0
			for colour, pixels := range got {
				differ += math.Max(0, float64(pixels-areas[colour]))
			}
			assert.LessOrEqual(t, differ, allowed)
		})
	}
}

// shown counts the pixels of each colour on a page of renderedSide pixels,
// zones painted row by row over one another under the even-odd rule.
func shown(d Drawing) map[string]int {
	z := Zones(context.Background(), d)
	count := map[string]int{}
	row := make([]int, renderedSide) // the zone shown, from 1
	var crossings []float64
	for y := range renderedSide {
		at := (float64(y) + 0.5) / renderedSide * d.SizeMM.Y
		clear(row)
		for i, zone := range z.Pattern.Zones {
			crossings = crossings[:0]
			for _, r := range zone.Region {
				for k, a := range r {
					if b := r[(k+1)%len(r)]; (a.Y > at) != (b.Y > at) {
						crossings = append(crossings, (a.X+(b.X-a.X)*(at-a.Y)/(b.Y-a.Y))/d.SizeMM.X*renderedSide-0.5)
					}
				}
			}
			sort.Float64s(crossings)
			for k := 0; k+1 < len(crossings); k += 2 {
				for x := max(0, int(math.Ceil(crossings[k]))); x < renderedSide && float64(x) < crossings[k+1]; x++ {
					row[x] = i + 1
				}
			}
		}
		for _, i := range row {
			colour := "#ffffff"
			if i > 0 {
				colour = z.Colours[z.Pattern.Zones[i-1].Kind]
			}
			count[colour]++
		}
	}
	return count
}
