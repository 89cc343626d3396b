package join

import (
	"fmt"
	"math"

	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
)

// arcReach is the length (mm) of the arc that ends a block where the tail
// inherits an arc as its motion mode. Reason: long enough for a radius that
// three decimals state to a percent, short enough to mark nothing.
const arcReach = 0.2

// feedDecimals is the number of decimals of a speed that is given back: enough
// for one set in the other unit; zeros at the end are not written.
const feedDecimals = 9

// closes brings the machine to the state the original has where the cut ends.
// Places come first, in absolute mm; then filament; then modes, of which each
// later line may depend on the earlier.
func (b *block) closes() {
	to := &b.old.to
	place := plane.Point{X: to.Position.X, Y: to.Position.Y}
	b.zTo(math.Max(b.height(), to.Position.Z), b.LiftFeed)
	arc := to.Motion == gcode.MotionArcLeft || to.Motion == gcode.MotionArcRight
	if arc {
		b.travelTo(place.Add(plane.Point{X: arcReach}))
	} else {
		b.travelTo(place)
	}
	b.zTo(to.Position.Z, b.LiftFeed)
	b.firmware(to.FirmwareRetracted[toolIndex(to.Tool)])
	b.depth(to.RetractionMM(), b.RetractFeed)

	if arc {
		b.inPlane(gcode.PlaneXY)
		b.arcTo(place, to)
	}
	b.modes(to)
	b.comment(ClosingComment[2:] + "; from the next line on the file is as it was")
	if tail := b.old.nextNumber; b.Numbered && tail >= 0 {
		// The line says its number twice: machines differ in whether the N word
		// of the line or that of the command counts.
		b.Number = tail - 1
		b.command(fmt.Sprintf("M110 N%d", tail-1))
	}
}

// arcTo ends with an arc, so that the motion mode is the arc's. Its centre is
// written in the reading in force where the block begins.
func (b *block) arcTo(place plane.Point, to *gcode.State) {
	if to.Motion == gcode.MotionArcLeft {
		b.Begin("G3")
	} else {
		b.Begin("G2")
	}
	b.axis('X', thousandths(place.X-b.shift.X))
	b.axis('Y', thousandths(place.Y-b.shift.Y))
	i, j := -thousandths(arcReach/2), int64(0)
	if b.old.at.Centres == gcode.CentresPlaces {
		i, j = i+b.x, j+b.y
	}
	b.axis('I', i)
	b.axis('J', j)
	if to.Feed > 0 {
		b.Value('F', to.Feed, feedDecimals)
	}
	b.end()
}

var planeCodes = map[gcode.Plane]string{gcode.PlaneXY: "G17", gcode.PlaneZX: "G18", gcode.PlaneYZ: "G19"}

var centresCodes = map[gcode.Centres]string{gcode.CentresIncrements: "G91.1", gcode.CentresPlaces: "G90.1"}

func (b *block) modes(to *gcode.State) {
	at := &b.old.at
	arc := to.Motion == gcode.MotionArcLeft || to.Motion == gcode.MotionArcRight
	b.inPlane(to.Plane)
	if at.Centres != to.Centres {
		b.command(centresCodes[to.Centres])
	}
	// Registers are set in mm, where five decimals hold them.
	if at.Shift != to.Shift || at.SavedShift != to.SavedShift {
		p := to.Program()
		b.command(fmt.Sprintf("G92 X%s Y%s Z%s", plainNumber(p.X, 5), plainNumber(p.Y, 5), plainNumber(p.Z, 5)))
	}
	b.setRegister(to.E)
	b.units(to.Inches)
	if to.Relative {
		b.command("G91")
	}
	if to.ESet && (at.RelativeE != to.RelativeE || at.ESet != to.ESet || to.Relative) {
		if to.RelativeE {
			b.command("M83")
		} else {
			b.command("M82")
		}
	}
	feed := ""
	if to.Feed > 0 {
		feed = " F" + plainNumber(to.Feed/to.UnitMM(), feedDecimals)
	}
	switch {
	case arc && to.Inches && feed != "":
		b.command(feed[1:])
	case arc:
	case to.Motion == gcode.MotionRapid:
		b.command("G0" + feed)
	case to.Motion == gcode.MotionNone:
		if feed != "" {
			b.command("G1" + feed)
		}
		b.command("G80")
	default:
		b.command("G1" + feed)
	}
}
