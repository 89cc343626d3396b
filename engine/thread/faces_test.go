package thread_test

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/coverage"
	"sheenlay/engine/fill"
	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/thread"
)

const lineWidth = 0.42

type outline struct {
	name string
	face plane.Region
}

func outlines() []outline {
	return []outline{
		{"disc 60", facetest.Disc(60)}, {"ring 60/30", facetest.Annulus(60, 30)}, {"star", facetest.Star(40, 18, 5)},
		{"letter", facetest.LetterA()}, {"plate 12 holes", facetest.Plate(100, 12, 8)},
	}
}

func request(face plane.Region, p pattern.Pattern) fill.Request {
	return fill.Request{
		Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.30, MaxWidthMM: 0.55,
		Threader: thread.New(),
	}
}

func lay(t testing.TB, face plane.Region, p pattern.Pattern) fill.Result {
	t.Helper()
	res, err := fill.Fill(context.Background(), request(face, p))
	require.NoError(t, err)
	return res
}

func build(t testing.TB, id string, params map[string]float64, face plane.Region) pattern.Pattern {
	t.Helper()
	g, err := generators.ByID(id)
	require.NoError(t, err)
	p, err := g.Build(g.WithSpacing(params, lineWidth), 1, face.Bounds())
	require.NoError(t, err)
	return p
}

// figures are the shares of one face, percent.
type figures struct {
	coverage.Result
	deep, anywhere float64 // share of the bead's length within 3° of the lay
	separate       int
	left           float64
}

func (f figures) String() string {
	return fmt.Sprintf("covered %6.2f  double %5.2f  spilled %5.2f  open %5.2f  deep %6.2f  anywhere %6.2f  separate %d left %.2f mm²",
		f.Covered.Percent, f.Double.Percent, f.Spilled.Percent, f.Open.Percent, f.deep, f.anywhere, f.separate, f.left)
}

func measured(face plane.Region, p pattern.Pattern, res fill.Result) figures {
	f := figures{Result: coverage.Measure(context.Background(), coverage.Job{Face: face, Strands: res.Strands, LineMM: lineWidth})}
	f.deep, f.anywhere = facetest.LayShares(face, p, res.Strands, lineWidth, 3)
	for _, x := range res.Findings {
		switch {
		case x.Code == "fill-separate-stroke":
			f.separate++
		case x.Unit == "mm²" && x.Level <= finding.Note:
			f.left += x.Value
		}
	}
	return f
}

// picture draws strands for a look by eye when THREAD_PICTURES names a folder,
// THREAD_WINDOW a part of the face.
func picture(t testing.TB, name string, face plane.Region, strands []strand.Strand) {
	dir := os.Getenv("THREAD_PICTURES")
	if dir == "" {
		return
	}
	box := face.Bounds().Grow(1)
	if window := os.Getenv("THREAD_WINDOW"); window != "" {
		_, err := fmt.Sscanf(window, "%g,%g,%g,%g", &box.Min.X, &box.Min.Y, &box.Max.X, &box.Max.Y)
		require.NoError(t, err)
	}
	require.NoError(t, facetest.Picture(dir+"/"+name+".png", box, strands, 45))
}
