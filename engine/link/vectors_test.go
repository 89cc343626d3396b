package link

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/machine"
)

// keptVectors are links of every form and kind of settings ever written, with
// what they change of the default. They are never changed, only added to.
var keptVectors = []struct {
	name, text string
	change     func(*job.Job)
}{
	{"form 1: nothing changed", "1.qq4FBAAA__8", func(*job.Job) {}},
	{"form 1: pattern", "1.LMrBCoJAGEXhd7lrR7QagrtumQ_xgzeTdJSZaaHiuwfa8nC-DRZz2SkoWp4iiLfG2Q2yF4rjDbYkcMOnDy0rsPYF1imIV9Ddqv1Us0UbD5f6VU0D1pfS_2eSWvB-Rv7G8LQlPdSBzu-_AAAA__8", func(j *job.Job) {
		j.Art.Generator, j.Art.Params, j.Art.Seed = "hemp-leaf", map[string]float64{"sizeMM": 12.5}, 7
		j.Art.Lays, j.Art.TurnLaysDeg = map[string]float64{"kind:0": 15, "zone:3": -40}, -5
	}},
	{"form 1: drawing", "1.qlZKLCrRSywuzkzPU7JSSs7PyS8tUtIBi2blZ-a5JxYUK1mVFJWmQsSyM_NSlKyUcjLzUouhynJzA1KLQvMyS5SsDPSMTCGCxSVF-dmpUK21gAAAAP__", func(j *job.Job) {
		j.Art.Kind, j.Art.MMPerUnit, j.Art.JoinGaps, j.Art.Strokes, j.Art.Assign = "lines", 0.25, true, true, "colour"
	}},
	{"form 1: picture", "1.qlZKLCrRSyvKz3VJTVey0jU20AGLZGfmpShZKRVkJpeUFqUqQQRzUstSc4qVrMyQuU6VSlZKyfk5-aVFUGVQTeGZKSUZvr5KVhZQM4tz8_MhIgZ6lhChknywtWYGtYAAAAD__w", func(j *job.Job) {
		j.Art.Kind, j.Art.Levels, j.Art.LevelsBy, j.Art.PictureWidthMM = "picture", 6, "colour", 80
		j.Art.FromDeg, j.Art.ToDeg, j.Art.SmoothMM = -30, 60, 0.9
	}},
	{"form 1: lettering", "1.qlZKLCrRS8zJTM9TslLKSU0rUdIBCyUnFnikZqZnlPj6KllZQsTS8vNKlKyUilLTS3MSi6AK04vyS_NSXFLTlax0TUwhYtmZeSlg40pKUosy89KhSktSK0D6PRyDnPxDg2LyfA7PcXJ19lYwNFVQRVICNsvEtBYQAAD__w", func(j *job.Job) {
		j.Art.Kind, j.Art.Text, j.Art.CapHeightMM, j.Art.Font = "lettering", "HARBOUR\nLÜBECK 15 %", 9, "regular"
		j.Art.Align, j.Art.TextDeg, j.Art.GroundDeg = "left", 45, -45
	}},
	{"form 1: trial", "1.qlZKLCrRy87MS1GyUiopykzMUdIBC4HZjslF-cXFSlZKxQWpqSmYMm5F-blKVoamGBIh-UpWxsjCzvk5pbl5xUpWxkiCLvnleUpWSnn5eanIZvsmFmWDLE0uLUEWDsovL1ayMqwFBAAA__8", func(j *job.Job) {
		j.Art.Kind, j.Art.TrialAcross, j.Art.TrialAcrossFrom, j.Art.TrialAcrossTo, j.Art.TrialColumns = "trial", "speed", 15, 35, 3
		j.Art.TrialDown, j.Art.TrialRows, j.Art.TrialMarks = "none", 1, "cut"
	}},
	{"form 1: placement", "1.VMkxCkIxDADQu2TWgAYRMoq49RChRhHSVtIWFfHu8rf89b0vPE2yFq0Dy8O9OfDwqZvgrnK9eCsntfYCvon11fcspsA7PEYd0-tZ78BESDHeKQETHqJ9Ftvuf_8AAAD__w", func(j *job.Job) {
		j.Placement = job.Placement{XMM: 3.5, YMM: -2, TurnDeg: 33.3, Scale: 1.7, Mirror: true}
	}},
	{"form 1: keep and layers", "1.PMxBCsIwEIXhu8y6hLSii1m7LXiFob7W4piUmUQR8e5SLN1-7_F_6A4sQSzXdCUeRR3N3x5i05z6nrgNx83yE6ayXGADUiHu4ja8RNWJu4ZU3jAPQ67r4bCD3-axrLUY2h1LtXTGRHyK318AAAD__w", func(j *job.Job) {
		j.Keep = job.Keep{Walls: 2, OverlapPercent: 20, MarginMM: 1.5}
		j.Layers = job.Layers{Count: 3, TurnDeg: 60, ShiftMM: 0.1}
	}},
	{"form 1: bead", "1.TM7BCsIwDMbxd8lZSjccat6hIOzgua7RFrSVLKOC-O4iW8auvw-S_weu5IO5PUo9Ew-UBfB02M0aKd2jOAdoTbvY078vKUjso2cCbMxRh5S3gzV6ZSwTDwQIpWZQexEF50bAtlMSz9Kv3tjFZeK8Ye2o_19z2r77_gIAAP__", func(j *job.Job) {
		b := &j.Bead
		b.Source, b.WidthMM, b.HeightMM, b.FlowPercent, b.MinWidthShare, b.MaxWidthShare = "own", 0.45, 0.2, 97, 0.7, 1.8
		b.SpeedMMs, b.StartSpeedMMs, b.TurnSpeedMMs = 25, 10, 12
	}},
	{"form 1: prime and join", "1.qlbKys_M0ytILMr2yUwr8fVVsjI01UEIRoBFDJBEIkEiRgYIodLiVCUrJV8zAwMlHaWCoszcVL30xAKQKjMYPyc1MUXJSiknM61ECSGWl16SAVZmABMrzkwBmZWTiqSuPLMgFWxlLSAAAP__", func(j *job.Job) {
		p := &j.Prime
		p.Side, p.LengthMM, p.GapMM, p.Lead, p.WipeMM = "left", 60, 6, "lift", 2
		j.Join = job.Join{Pause: "M600", ParkXMM: 10, ParkYMM: 200, ParkLiftMM: 15}
	}},
	{"form 1: machine with a corner", "1.TM49C8IwEMbxryI3S2mpOGQUccvi4nwmh43k7soZ3yp-dykIzfr8-MPzAcYwJKHmTHFPYxm8B9d37bqGU4p_aCsIakLmNVIGB9c7j7AgzTs4MMpY0oMqYnwdsj6972_gus0CgjwnR8KY5LIyVa4y0WnKNL9om-0yGxXDUHZvcBCUGSXC9xcAAP__", func(j *job.Job) {
		m := &j.Machine
		m.Name, m.BedWidthMM, m.BedDepthMM, m.NozzleMM, m.MaxFlowMM3s = "Reading room", 300, 310, 0.6, 14
		m.RetractBy, m.CornerModel, m.EMode = machine.ByCommand, machine.CornerJump, machine.Relative
	}},
	{"form 1: round machine", "1.qlbKTUzOyMxL1UtKTQnOSCxIVbJSKsovzUtR0oFL5WSmlfj6KlkZIITyizLTM_OUrJSSU_NKilKRFBellhQlJpc4VSpZKeXl56Uq1QICAAD__w", func(j *job.Job) {
		m := &j.Machine
		m.BedShape, m.Origin, m.BedDiameterMM, m.RetractBy, m.LiftMM = machine.Round, machine.Centre, 240, machine.Never, 0
	}},
	{"form 1: arcs", "1.qlZKLCrRS0_NSy1KLMkvUrJSKsrMSy9W0lHKys_M00ssSi5WsiopKk2tBQQAAP__", func(j *job.Job) {
		j.Art.Generator, j.Join.Arcs = "rings", true
	}},
	{"form 1: the word for the file's own retraction until there was another", "1.qlZKSk1M0SsuSE1N8fUtVrIyMtVRyk1MzsjMS9UrSi0pSkwucapUslJKVaoFBAAA__8", func(j *job.Job) {
		j.Bead.SpeedMMs, j.Machine.RetractBy = 25, machine.AsFile
	}},
}

func TestKeptVectors(t *testing.T) {
	for _, row := range keptVectors {
		t.Run(row.name, func(t *testing.T) {
			want := job.Default()
			row.change(&want)
			for name, now := range map[string]job.Job{"over the default": job.Default(), "over other settings": full()} {
				got, found := Decode(row.text, now)
				require.Empty(t, found, name)
				assert.Equal(t, want, got, name)
			}
		})
	}
}

// Every section of a job that a link carries has a kept vector.
func TestKeptVectorsReachEverySection(t *testing.T) {
	reached := map[string]bool{}
	for _, row := range keptVectors {
		j := job.Default()
		row.change(&j)
		for _, c := range job.Changes(job.Default(), j) {
			section, _, _ := strings.Cut(c.Path, ".")
			reached[section] = true
		}
	}
	for _, f := range job.Fields() {
		if portable(f) {
			assert.True(t, reached[f.Section], f.Section)
		}
	}
}
