package protocol

import (
	"sort"

	"sheenlay/engine/gcode"
)

// explanation is what a command used in the new layer means, in plain words.
type explanation struct {
	Command string `json:"command"`
	Meaning string `json:"meaning"`
	Count   int    `json:"count"`
}

// meanings of commands, in common practice; NISTIR 6556 for those it has.
var meanings = map[string]string{
	"G0":   "goes to a place as fast as the line allows, laying nothing",
	"G1":   "goes straight to a place at the speed F; lays material where E feeds filament",
	"G2":   "goes along an arc, clockwise",
	"G3":   "goes along an arc, counter-clockwise",
	"G4":   "waits",
	"G10":  "draws the filament back, by the machine's own settings",
	"G11":  "gives the filament back, by the machine's own settings",
	"G20":  "lengths from here on are inches",
	"G21":  "lengths from here on are millimetres",
	"G28":  "runs to the end stops",
	"G90":  "places from here on are counted from zero",
	"G91":  "places from here on are counted from where the nozzle is",
	"G92":  "gives the counter of an axis another value, without moving",
	"M0":   "waits until the button is pressed",
	"M25":  "pauses the file",
	"M73":  "tells the display how far the print is",
	"M82":  "filament from here on is counted from zero",
	"M83":  "filament from here on is counted from the move before",
	"M104": "sets the nozzle's temperature, without waiting",
	"M106": "sets the fan",
	"M107": "turns the fan off",
	"M109": "sets the nozzle's temperature and waits for it",
	"M110": "sets the number of the line, for files with numbered lines",
	"M117": "shows a message",
	"M140": "sets the bed's temperature, without waiting",
	"M190": "sets the bed's temperature and waits for it",
	"M201": "sets the largest acceleration of each axis",
	"M203": "sets the largest speed of each axis",
	"M204": "sets the acceleration",
	"M205": "sets how sharply the machine may take a corner",
	"M220": "sets the speed as a share",
	"M221": "sets the flow as a share",
	"M486": "names the object that is laid",
	"M600": "waits for a change of filament",
}

// explained lists the commands of the new bytes with what they mean, most
// used first. Commands that nobody here knows were kept from the file.
func explained(block []byte) []explanation {
	counts := map[string]int{}
	for s := gcode.NewScanner(block); s.Next(); {
		l := s.Line()
		switch {
		case l.Code != 0:
			counts[l.Code.String()]++
		case len(l.Name) > 0:
			counts[string(l.Name)]++
		}
	}
	out := []explanation{}
	for command, n := range counts {
		meaning := meanings[command]
		switch {
		case meaning == "" && command[0] == 'T':
			meaning = "chooses the tool"
		case meaning == "":
			meaning = "kept from your file as it was; its meaning is your machine's"
		}
		out = append(out, explanation{command, meaning, n})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Count != out[j].Count {
			return out[i].Count > out[j].Count
		}
		return out[i].Command < out[j].Command
	})
	return out
}
