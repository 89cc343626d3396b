package artwork

import (
	"context"
	"encoding/base64"
	"encoding/binary"

	"sheenlay/engine/finding"
	"sheenlay/engine/lettering"
	"sheenlay/engine/pattern"
	"sheenlay/engine/picture"
	"sheenlay/engine/plane"
)

// centred moves a pattern of the given size, drawn from its lower left corner,
// so that its middle lies at zero.
func centred(p pattern.Pattern, size plane.Point) source {
	half := size.Mul(0.5)
	return source{pattern: pattern.Transform(p, plane.Translate(-half.X, -half.Y)),
		box: plane.Box{Min: half.Mul(-1), Max: half}}
}

// pictured reads a picture's pixels and brings them to zones.
func pictured(ctx context.Context, in Input, found *finding.List) (source, error) {
	refuse := func(text string) (source, error) {
		return source{}, finding.Finding{Code: "artwork-no-picture", Level: finding.Stop, Text: text,
			Remedy: "Drop a PNG or JPEG on the page.", Place: &finding.Place{File: "job", Element: "art.picture"}}
	}
	if in.Art.Picture == "" {
		return refuse("The job has no picture yet.")
	}
	raw, err := base64.StdEncoding.DecodeString(in.Art.Picture)
	if err != nil || len(raw) < 8 {
		return refuse("The picture in the job cannot be read.")
	}
	pixels, bad := pixelsOf(raw)
	if bad != "" {
		return refuse(bad)
	}
	widthMM := in.Art.PictureWidthMM
	if widthMM == 0 { // cover the face's box
		size := in.Face.Bounds().Size()
		widthMM = max(size.X, size.Y*float64(pixels.Width)/float64(pixels.Height)) / in.Placement.Scale
	}
	basis := picture.Tone
	if in.Art.LevelsBy == "colour" {
		basis = picture.Colour
	}
	made := picture.Trace(ctx, pixels, picture.Options{WidthMM: widthMM,
		Levels: in.Art.Levels, Basis: basis, SmoothMM: in.Art.SmoothMM, FromDegrees: in.Art.FromDeg, ToDegrees: in.Art.ToDeg}, nil)
	if stop := takeStop(made.Findings, found); stop != nil {
		return source{}, *stop
	}
	src := centred(made.Pattern, made.SizeMM)
	src.pattern.Ground = pattern.Lay{Angle: radians(in.Art.GroundDeg)}
	return src, nil
}

// pixelsOf reads a job's picture: PNG or JPEG bytes, or plain pixels behind
// their width and height, as the page sends what the browser decoded. The
// second result says what is wrong, "" when nothing is.
func pixelsOf(raw []byte) (picture.Picture, string) {
	if p, found := picture.Decode(raw); found.Worst() != finding.Stop {
		return p, ""
	}
	p := picture.Picture{Width: int(binary.LittleEndian.Uint32(raw)), Height: int(binary.LittleEndian.Uint32(raw[4:])), RGBA: raw[8:]}
	if p.Width < 1 || p.Height < 1 || p.Width > 1<<16 || p.Height > 1<<16 || len(p.RGBA) != 4*p.Width*p.Height {
		return picture.Picture{}, "The picture in the job is no PNG or JPEG, and has another size than it says."
	}
	return p, ""
}

// lettered sets the job's text.
func lettered(ctx context.Context, in Input, found *finding.List) (source, error) {
	o := lettering.Options{CapHeightMM: in.Art.CapHeightMM, LineWidthMM: in.WidthMM, LetterDegrees: in.Art.TextDeg, GroundDegrees: in.Art.GroundDeg}
	if in.Art.Font == "bold" {
		o.Face = lettering.Bold
	}
	switch in.Art.Align {
	case "centre":
		o.Align = lettering.Centre
	case "right":
		o.Align = lettering.Right
	}
	set := lettering.Set(ctx, in.Art.Text, o)
	if stop := takeStop(set.Findings, found); stop != nil {
		return source{}, *stop
	}
	return centred(set.Pattern, set.SizeMM), nil
}
