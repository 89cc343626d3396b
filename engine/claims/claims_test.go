package claims_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/claims"
	"sheenlay/engine/internal/limits"
)

func collect(text string) []claims.Claim {
	var c claims.Collector
	offset := int64(0)
	for i, line := range strings.Split(text, "\n") {
		c.Line(i+1, offset, []byte(line))
		offset += int64(len(line)) + 1
	}
	return c.Claims
}

// Shapes as they stand in files; made by hand.
func TestShapesOfClaims(t *testing.T) {
	for line, want := range map[string]string{
		"M73 P12 R45":          "progress 12 ±1, remaining time 2700 ±60",
		"m73p0r60 ; start":     "progress 0 ±1, remaining time 3600 ±60",
		"N12 M73 P5 R3*44":     "progress 5 ±1, remaining time 180 ±60",
		"M73 Q7 S9":            "progress 7 ±1, remaining time 540 ±60",
		";TIME:1234":           "total time 1234 ±1",
		";TIME:1234.5":         "total time 1234.5 ±0.1",
		";TIME_ELAPSED:12.345": "elapsed time 12.345 ±0.001",
		";PRINT.TIME:77":       "total time 77 ±1",
		"; estimated printing time (normal mode) = 1d 2h 3m 4s": "total time 93784 ±1",
		"; estimated first layer printing time = 1m 5s":         "first layer time 65 ±1",
		"; print time: 00:25:13":                                "total time 1513 ±1",
		"; Print time: 1:00:25:13":                              "total time 87913 ±1",
		"(estimated time: 2 hours 5 minutes)":                   "total time 7500 ±60",
		"; total time [min] = 12.5":                             "total time 750 ±6",
		"; model printing time: 6m 31s; total time: 12m 13s":    "total time 391 ±1, total time 733 ±1",
		"; Build time: 1 hour 4 minutes":                        "total time 3840 ±60",
		"; time left: 90":                                       "remaining time 90 ±1",
		"; Druckzeit: 12 min":                                   "total time 720 ±60",
		";Filament used: 1.23456m":                              "filament length 1234.56 ±0.01",
		"; filament used [mm] = 1234.5":                         "filament length 1234.5 ±0.1",
		"; filament used = 1234.5mm (3.0cm3)":                   "filament length 1234.5 ±0.1",
		"; filament used [cm3] = 3.25":                          "filament volume 3250 ±10",
		"; total filament used [g] = 10.92":                     "filament mass 10.92 ±0.01",
		"; Material weight: 3 grams":                            "filament mass 3 ±1",
	} {
		t.Run(line, func(t *testing.T) {
			var got []string
			for _, c := range collect(line) {
				got = append(got, fmt.Sprintf("%s %.10g ±%.6g", c.Kind, c.Value, c.Step))
			}
			assert.Equal(t, want, strings.Join(got, ", "))
		})
	}
}

// What looks like a claim and is a setting, a command, or no figure.
func TestLinesWithoutClaims(t *testing.T) {
	for _, line := range []string{
		"", "G1 X10 Y5 E0.3", ";TYPE:wall", "M73", "M104 S210", "M117 P7 R3", "M730 P7", "; print time: 25:13",
		"; slow_down_layer_time = 8", "; min_print_time = 8", "; filament_load_time = 12", "; layer time: 12",
		"; generated at time: 12:10:11", "; print time: soon, 3 of them", "; filament used = 1234", "; filament used: -3 mm",
		"; filament_diameter = 1.75", "; filament cost [g] used = 3", "; filament_density: 1.24",
		"; total filament used for wipe tower [g] = 0.5", "; time = 1e5",
		"; time: 99999999999999999999999999999999999999999999999",
	} {
		assert.Empty(t, collect(line), line)
	}
}

func TestPlacesOfClaims(t *testing.T) {
	list := collect("G28\n  ;TIME:12\nM73 P1 R2")
	require.Len(t, list, 3)
	assert.Equal(t, claims.Claim{Kind: claims.TotalTime, Line: 2, Offset: 4, Value: 12, Step: 1, Quote: ";TIME:12"}, list[0])
	assert.Equal(t, 3, list[2].Line)
	assert.EqualValues(t, 15, list[2].Offset)
	long := collect(";TIME:12 (" + strings.Repeat(" x", 5000))
	require.Len(t, long, 1)
	assert.LessOrEqual(t, utf8.RuneCountInString(long[0].Quote), 80)
	var many claims.Collector
	for i := range 30000 {
		many.Line(i+1, 0, []byte("M73 P1"))
	}
	assert.Len(t, many.Claims, 20000)
	assert.Equal(t, 10000, many.Dropped)
}

// A file of 1000 s whose first layer (lines 10 to 19) grew by 100 s and
// 500 mm of filament Ø1.75 (1202.64 mm³, 1.4913 g at 1.24 g/cm³).
func change() claims.Change {
	return claims.Change{FirstLine: 10, NextLine: 20, BeforeSeconds: 1000, AfterSeconds: 1100, LayerAfterSeconds: 160,
		BeforeFilamentMM: 3000, AfterFilamentMM: 3500, FilamentDiameterMM: 1.75, DensityGCm3: 1.24}
}

func TestWrong(t *testing.T) {
	for name, c := range map[string]struct {
		claim      claims.Claim
		wrong      bool
		difference float64
	}{
		"total before":           {claims.Claim{Kind: claims.TotalTime, Line: 1, Value: 1000, Step: 1}, true, 100},
		"total at the end":       {claims.Claim{Kind: claims.TotalTime, Line: 900, Value: 1000, Step: 1}, true, 100},
		"total in whole hours":   {claims.Claim{Kind: claims.TotalTime, Line: 1, Value: 3600, Step: 3600}, false, 0},
		"elapsed before":         {claims.Claim{Kind: claims.ElapsedTime, Line: 9, Value: 5, Step: 1}, false, 0},
		"elapsed behind":         {claims.Claim{Kind: claims.ElapsedTime, Line: 20, Value: 65, Step: 1}, true, 100},
		"remaining before":       {claims.Claim{Kind: claims.RemainingTime, Line: 9, Value: 960, Step: 60}, true, 100},
		"remaining behind":       {claims.Claim{Kind: claims.RemainingTime, Line: 20, Value: 900, Step: 60}, false, 0},
		"in the replaced layer":  {claims.Claim{Kind: claims.TotalTime, Line: 15, Value: 1000, Step: 1}, false, 0},
		"first layer":            {claims.Claim{Kind: claims.FirstLayerTime, Line: 2, Value: 60, Step: 1}, true, 100},
		"progress behind":        {claims.Claim{Kind: claims.Percent, Line: 500, Value: 50, Step: 1}, true, 100*600.0/1100 - 50},
		"progress at the end":    {claims.Claim{Kind: claims.Percent, Line: 990, Value: 100, Step: 1}, false, 0},
		"progress at the start":  {claims.Claim{Kind: claims.Percent, Line: 1, Value: 0, Step: 1}, false, 0},
		"length":                 {claims.Claim{Kind: claims.FilamentLength, Line: 1, Value: 3000, Step: 0.1}, true, 500},
		"volume":                 {claims.Claim{Kind: claims.FilamentVolume, Line: 1, Value: 7215.8, Step: 10}, true, 1202.64},
		"mass":                   {claims.Claim{Kind: claims.FilamentMass, Line: 1, Value: 8.95, Step: 0.01}, true, 1.49127},
		"mass in whole kilogram": {claims.Claim{Kind: claims.FilamentMass, Line: 1, Value: 0, Step: 1000}, false, 0},
	} {
		got := claims.Wrong([]claims.Claim{c.claim}, change())
		if !c.wrong {
			assert.Empty(t, got, name)
			continue
		}
		require.Len(t, got, 1, name)
		assert.InDelta(t, c.difference, got[0].Difference, 1e-2, name)
		assert.InDelta(t, c.claim.Value+c.difference, got[0].True, 1e-2, name)
	}
	assert.Empty(t, claims.Wrong(nil, change()))
	same := change()
	same.AfterSeconds, same.AfterFilamentMM, same.LayerAfterSeconds = same.BeforeSeconds, same.BeforeFilamentMM, 60
	assert.Empty(t, claims.Wrong(collect(";TIME:1000\n;Filament used: 3m\nM73 P0 R16\n; first layer printing time = 60s"), same),
		"nothing changed, nothing is wrong")
}

func TestFindings(t *testing.T) {
	list := claims.Wrong(collect(";TIME:1000\nM73 P0 R16\nM73 P1 R15"), change())
	found := claims.Findings(list)
	require.Len(t, found, 2)
	assert.Equal(t, "1 line says something about total time that holds for the file as it was sliced; the first would have to say 1100 s (+100 s).", found[0].Text)
	assert.Equal(t, "2 lines say something about remaining time that holds for the file as it was sliced; the first would have to say 1060 s (+100 s).", found[1].Text)
	assert.Equal(t, "M73 P0 R16", found[1].Quote)
	assert.Empty(t, claims.Findings(nil))
	broken := change()
	broken.AfterSeconds = math.NaN()
	assert.Empty(t, claims.Findings(claims.Wrong(collect(";TIME:1000"), broken)), "no figure, no sentence")
}

func FuzzLine(f *testing.F) {
	for _, s := range []string{";TIME:12", "M73 P1 R2", "N1M73P1*7", "; filament used [mm] = 3.4 ; time: 1h 2m", "(time: 00:00:01)", ";\xff time=3", "; time: 1.5.2 h", "M73 P-0 R.", "; filament used: 3 m³"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		limits.Reader(t, func() {
			var c claims.Collector
			c.Line(1, 0, []byte(line))
			for _, claim := range c.Claims {
				if math.IsNaN(claim.Value) || math.IsInf(claim.Value, 0) || !(claim.Step > 0) || !utf8.ValidString(claim.Quote) {
					t.Fatalf("%+v from %q", claim, line)
				}
			}
			claims.Findings(claims.Wrong(c.Claims, change()))
		})
	})
}

func BenchmarkLine(b *testing.B) {
	lines := map[string][]byte{
		"move": []byte("G1 X103.25 Y98.113 E0.03341"), "type": []byte(";TYPE:outer wall"),
		"command": []byte("M106 S255"), "time": []byte(";TIME_ELAPSED:123.456"),
	}
	for _, name := range []string{"move", "type", "command", "time"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var c claims.Collector
			for i := range b.N {
				c.Line(i, 0, lines[name])
				c.Claims = c.Claims[:0]
			}
			if c.Dropped > 0 {
				b.Fatal("claims were dropped")
			}
		})
	}
}
