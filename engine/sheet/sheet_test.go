package sheet

import (
	"bytes"
	"encoding/xml"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

func sample(side float64) Content {
	face := plane.Region{{{X: 0, Y: 0}, {X: side, Y: 0}, {X: side, Y: side}, {X: 0, Y: side}}}
	var s strand.Strand
	for y, i := 0.5, 0; y < side; y, i = y+1, i+1 {
		a, b := plane.Point{X: 1, Y: y}, plane.Point{X: side - 1, Y: y}
		if i%2 == 1 {
			a, b = b, a
		}
		s.Points = append(s.Points, a, b)
	}
	return Content{
		Title: "Harbour tile", Subtitle: "harbour-tile.gcode · tumbling blocks, 10 mm", Face: face, Strands: []strand.Strand{s},
		Settings: []Row{{"Line width", "0.42 mm"}, {"Layer height", "0.20 mm"}, {"Speed", "20 mm/s"}},
		Figures:  []Row{{"Bead", "41.2 m"}, {"Time", "34 min"}},
		Lays:     []Row{{"left", "30°"}, {"right", "150°"}, {"top", "90°"}},
		Cautions: []string{"Nozzle and plate are hot long after a print; let them cool before you reach in.", "Moving parts pinch.", "Air the room.", "Never leave the machine unattended.", "The machine's manual and your local rules come first."},
		Link:     "https" + "://example/#1." + strings.Repeat("abc123XY", 60),
	}
}

func TestRenderPDF(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		data, err := Render(sample(80), paper, PDF)
		require.NoError(t, err)
		assert.True(t, bytes.HasPrefix(data, []byte("%PDF-")))
		assert.Contains(t, string(data[len(data)-64:]), "%%EOF")
	}
}

func TestRenderSVGIsTrueToScale(t *testing.T) {
	data, err := Render(sample(80), A4, SVG)
	require.NoError(t, err)
	var root struct {
		Width  string `xml:"width,attr"`
		Height string `xml:"height,attr"`
		Box    string `xml:"viewBox,attr"`
	}
	require.NoError(t, xml.Unmarshal(data, &root))
	assert.Equal(t, "210mm", root.Width)
	assert.Equal(t, "297mm", root.Height)
	assert.Equal(t, "0 0 210 297", root.Box)
	// The outline of an 80 mm square, centred on the paper's width and
	// mirrored: from 145 to 65.
	outline := string(data)[strings.LastIndex(string(data[:bytes.Index(data, []byte("z\"/>"))]), "<path"):]
	assert.Regexp(t, `d="M145 [0-9.]+L65 [0-9.]+L65 [0-9.]+L145 [0-9.]+z"`, outline[:strings.Index(outline, "/>")])
}

func TestLargeFaceIsReduced(t *testing.T) {
	data, err := Render(sample(350), A4, SVG)
	require.NoError(t, err)
	assert.NotEmpty(t, data)
}

func TestEmptySheet(t *testing.T) {
	for _, format := range []Format{PDF, SVG} {
		data, err := Render(Content{}, A4, format)
		require.NoError(t, err)
		assert.NotEmpty(t, data)
	}
	_, err := Render(Content{}, A4, "png")
	assert.ErrorContains(t, err, "pdf or svg")
}

func TestLongTextsAreCut(t *testing.T) {
	c := sample(20)
	c.Title = strings.Repeat("reading day ", 40)
	for range 40 {
		c.Lays = append(c.Lays, Row{"a kind with quite a long name of its own", "12.5°"})
	}
	_, err := Render(c, Letter, PDF)
	require.NoError(t, err)
}

// Writes the sheet for looking at: SHEET=dir go test ./engine/sheet.
func TestMain(m *testing.M) {
	if dir := os.Getenv("SHEET"); dir != "" {
		for _, f := range []Format{PDF, SVG} {
			if data, err := Render(sample(80), A4, f); err == nil {
				os.WriteFile(dir+"/sheet."+string(f), data, 0o644)
			}
		}
	}
	os.Exit(m.Run())
}
