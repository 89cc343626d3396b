package drawing

import (
	"strings"

	"sheenlay/engine/finding"
)

// style is what the cascade leaves of an element's properties, as text.
type style struct {
	// Inherited (W3C SVG 2, appendix of properties).
	fill, stroke, strokeWidth, dashes string
	fillRule, clipRule                string
	fillOpacity, strokeOpacity        string
	visibility, colour                string
	markerStart, markerMid, markerEnd string
	paintOrder                        string
	// Not inherited.
	display, opacity, overflow string
	clipPath, mask, filter     string
	transform, transformOrigin string
	translate, rotate, scale   string // properties of CSS Transforms 2, no attributes
	vectorEffect               string
	geometry                   []declaration // cx, r, d, … given as properties
}

// initialStyle is what the root element inherits.
func initialStyle() style {
	return style{
		fill: "black", stroke: "none", strokeWidth: "1", dashes: "none",
		fillRule: "nonzero", clipRule: "nonzero", fillOpacity: "1", strokeOpacity: "1",
		visibility: "visible", colour: "black",
		markerStart: "none", markerMid: "none", markerEnd: "none", paintOrder: "normal",
	}
}

// inherit returns the style a child starts from.
func (s style) inherit() style {
	s.display, s.opacity, s.overflow = "inline", "1", ""
	s.clipPath, s.mask, s.filter = "none", "none", "none"
	s.transform, s.transformOrigin, s.vectorEffect, s.geometry = "", "", "none", nil
	s.translate, s.rotate, s.scale = "none", "none", "none"
	return s
}

// field returns where a property is kept, nil for one that a drawing does not
// need.
func (s *style) field(name string) *string {
	switch name {
	case "fill":
		return &s.fill
	case "stroke":
		return &s.stroke
	case "stroke-width":
		return &s.strokeWidth
	case "stroke-dasharray":
		return &s.dashes
	case "fill-rule":
		return &s.fillRule
	case "clip-rule":
		return &s.clipRule
	case "fill-opacity":
		return &s.fillOpacity
	case "stroke-opacity":
		return &s.strokeOpacity
	case "visibility":
		return &s.visibility
	case "color":
		return &s.colour
	case "marker-start":
		return &s.markerStart
	case "marker-mid":
		return &s.markerMid
	case "marker-end":
		return &s.markerEnd
	case "display":
		return &s.display
	case "opacity":
		return &s.opacity
	case "overflow":
		return &s.overflow
	case "clip-path":
		return &s.clipPath
	case "mask":
		return &s.mask
	case "filter":
		return &s.filter
	case "transform":
		return &s.transform
	case "transform-origin":
		return &s.transformOrigin
	case "translate":
		return &s.translate
	case "rotate":
		return &s.rotate
	case "scale":
		return &s.scale
	case "vector-effect":
		return &s.vectorEffect
	case "paint-order":
		return &s.paintOrder
	}
	return nil
}

// isGeometry reports whether SVG 2 lets a geometry attribute be written as a
// property.
func isGeometry(name string) bool {
	switch name {
	case "cx", "cy", "r", "rx", "ry", "x", "y", "width", "height", "d":
		return true
	}
	return false
}

// isPlacing reports whether a name places an element as a property only; as an
// attribute it means something else or nothing.
func isPlacing(name string) bool { return name == "translate" || name == "rotate" || name == "scale" }

// placing returns the transform list of an element: translate, rotate and scale
// come before transform (CSS Transforms 2, §12).
func (s *style) placing() string {
	list := ""
	for _, one := range []struct{ name, value string }{{"translate", s.translate}, {"rotate", s.rotate}, {"scale", s.scale}} {
		if one.value != "none" {
			list += one.name + "(" + strings.Join(strings.Fields(one.value), ",") + ") "
		}
	}
	if list == "" || strings.TrimSpace(s.transform) != "none" {
		list += s.transform
	}
	return list
}

// strokeBelow reports whether the stroke is painted before the fill (SVG 2,
// §13.8).
func (s *style) strokeBelow() bool {
	for _, word := range strings.Fields(strings.ToLower(s.paintOrder)) {
		switch word {
		case "stroke":
			return true
		case "fill", "normal":
			return false
		}
	}
	return false
}

// cascade returns the style of n below the style of its parent: presentation
// attributes, then rules by specificity and order, then the style attribute,
// important declarations last (CSS Cascade 4, §6; SVG 2, §6.6).
func (sheet *styleSheet) cascade(n *node, parent style, notes *notebook) style {
	s := parent.inherit()
	set := func(name, value string, property bool) {
		if name == "marker" && property {
			for _, part := range []*string{&s.markerStart, &s.markerMid, &s.markerEnd} {
				*part = value
			}
			return
		}
		if property && isGeometry(name) {
			s.geometry = append(s.geometry, declaration{name: name, value: pathFunction(value)})
			return
		}
		target := s.field(name)
		if target == nil || !property && isPlacing(name) {
			return
		}
		switch strings.ToLower(value) {
		case "":
			return
		case "inherit":
			was := parent
			*target = *was.field(name)
		case "initial", "unset", "revert":
			first := initialStyle().inherit()
			if value == "unset" {
				first = parent.inherit()
			}
			*target = *first.field(name)
		default:
			if strings.Contains(value, "var(") {
				notes.add("drawing-style-variable", finding.Caution, "A style uses a variable, which is not followed", "Write the value itself.", n)
				return
			}
			*target = value
		}
	}
	for _, a := range n.attrs {
		set(a.name, strings.TrimSpace(a.value), false)
	}
	rules := sheet.matching(n)
	inline := parseDeclarations(n.attr("style"))
	for _, important := range []bool{false, true} {
		for _, r := range rules {
			for _, d := range r.declarations {
				if d.important == important {
					set(d.name, d.value, true)
				}
			}
		}
		for _, d := range inline {
			if d.important == important {
				set(d.name, d.value, true)
			}
		}
	}
	return s
}

// pathFunction unwraps path("…"), the form of d as a property.
func pathFunction(value string) string {
	inner, found := strings.CutPrefix(value, "path(")
	if !found {
		return value
	}
	return strings.Trim(strings.TrimSuffix(strings.TrimSpace(inner), ")"), `"' `)
}

// geometry returns a geometry attribute or the property that overrides it.
func geometry(n *node, s *style, name string) string {
	for i := len(s.geometry) - 1; i >= 0; i-- {
		if s.geometry[i].name == name {
			return s.geometry[i].value
		}
	}
	return strings.TrimSpace(n.attr(name))
}

// reference returns the id that url(#id) or href="#id" points at.
func reference(value string) (id string, inside bool) {
	value = strings.TrimSpace(value)
	if inner, found := strings.CutPrefix(value, "url("); found {
		inner, _, _ = strings.Cut(inner, ")")
		value = strings.Trim(strings.TrimSpace(inner), `"'`)
	}
	return strings.CutPrefix(value, "#")
}
