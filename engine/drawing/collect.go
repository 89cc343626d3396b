package drawing

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// scene is the drawing after structure and styles are resolved and before its
// size is known. Its frame is the page in CSS pixels, y down.
type scene struct {
	items     []item
	page      plane.Point // px; zero when the file states no size
	unitPx    float64     // px per user unit of the outermost view box
	stated    bool        // the page has a size in a unit of the real world
	hasPage   bool
	pageText  string // what the file says about its size, for a sentence
	notes     *notebook
	filled    int // shapes with a fill and no stroke
	firstFill *node
}

// item is one shape element as placed on the page.
type item struct {
	node        *node
	path        []subpath
	place       plane.Affine // user units to px
	fill        paint
	stroke      paint
	rule        FillRule
	strokeWidth float64 // user units
	widthInPx   bool    // the stroke is not scaled with the element
	strokeBelow bool    // the stroke is painted before the fill
	clips       *clipList
	lay         LayMark
}

// clipSource is a clip path before its size is known.
type clipSource struct {
	parts []clipPart
	ready *Clip
}

type clipPart struct {
	path  []subpath
	place plane.Affine
	rule  FillRule
	clips *clipList
}

// clipList is a list of clip paths that all hold, as a chain from the innermost
// outwards. Equal lists are one value, so what is made of a list is made once.
type clipList struct {
	outer  *clipList
	source *clipSource
	index  *clipIndex
}

// frame is what an element inherits while the tree is walked.
type frame struct {
	place    plane.Affine // user units to px
	style    style
	viewport plane.Point // user units
	clips    *clipList
	opacity  float64
	lay      LayMark
}

type collector struct {
	ctx     context.Context
	doc     *document
	sheet   *styleSheet
	notes   *notebook
	options Options
	scene   *scene
	placed  int
	using   []*node // the use elements that are being followed
	clipped []*node // the clip paths that are being followed

	lists    map[clipList]*clipList
	sources  map[clipKey]*clipSource
	outlines map[*node][]subpath // of elements that are placed by use
	segments int                 // in all outlines placed
}

// collect walks the tree and returns what is drawn.
func collect(ctx context.Context, doc *document, options Options, notes *notebook) (*scene, error) {
	c := &collector{ctx: ctx, doc: doc, sheet: newStyleSheet(), notes: notes, options: options, scene: &scene{notes: notes},
		lists: map[clipList]*clipList{}, sources: map[clipKey]*clipSource{}, outlines: map[*node][]subpath{}}
	for _, n := range doc.styles {
		if kind := n.attr("type"); kind != "" && kind != "text/css" {
			continue
		}
		if !forScreens(n.attr("media")) {
			notes.add("drawing-style-at-rule", finding.Note, "A style sheet that is not for screens is not followed",
				"Save the drawing with its styles written on the elements.", n)
			continue
		}
		c.sheet.parse(n.text, n, notes)
	}
	f := frame{place: plane.Identity(), style: initialStyle(), opacity: 1}
	c.openPage(&f)
	err := c.element(doc.root, f)
	if c.sheet.work < 0 {
		notes.add("drawing-style-too-long", finding.Caution, "The style sheet takes too long to follow; the last elements are read without it",
			"Save the drawing with its styles written on the elements.", doc.styles[0])
	}
	return c.scene, err
}

// openPage reads size and view box of the outermost svg (SVG 2, §8.2).
func (c *collector) openPage(f *frame) {
	root, s := c.doc.root, c.scene
	box, hasBox := parseViewBox(root.attr("viewBox"))
	if root.attr("viewBox") != "" && !hasBox {
		c.notes.add("drawing-bad-viewbox", finding.Caution, "The view box is not four numbers with a positive width and height and counts as missing", "Correct the view box.", root)
	}
	width, hasWidth := parseLength(root.attr("width"))
	height, hasHeight := parseLength(root.attr("height"))
	hasWidth = hasWidth && width.unit != "%" && width.value > 0
	hasHeight = hasHeight && height.unit != "%" && height.value > 0
	s.unitPx = 1
	s.stated = hasBox && (hasWidth && width.physical() || hasHeight && height.physical())
	s.pageText = strings.Trim(strings.TrimSpace(root.attr("width"))+" × "+strings.TrimSpace(root.attr("height")), "× ")
	size := plane.Point{X: width.user(0), Y: height.user(0)}
	switch {
	case hasWidth && hasHeight:
	case hasBox && hasWidth:
		size.Y = size.X * box.height / box.width
	case hasBox && hasHeight:
		size.X = size.Y * box.width / box.height
	case hasBox:
		size = plane.Point{X: box.width, Y: box.height}
	default:
		// No size: percentages refer to the default box of replaced elements
		// (CSS 2.2, §10.3.2) and the page becomes what is drawn.
		f.viewport = plane.Point{X: 300, Y: 150}
		return
	}
	s.hasPage, s.page = true, size
	f.viewport = size
	if hasBox {
		m, _ := box.fit(size, root.attr("preserveAspectRatio"))
		f.place, f.viewport = m, plane.Point{X: box.width, Y: box.height}
		s.unitPx = math.Sqrt(math.Abs(m.Det()))
	}
}

// element places one element and what it holds.
func (c *collector) element(n *node, parent frame) error {
	if c.placed++; c.placed&1023 == 0 && c.ctx.Err() != nil {
		return cancelled()
	}
	if c.placed > tol.DrawingPlaced {
		return stop("drawing-too-many-copies", fmt.Sprintf("The drawing places more than %d elements, copies by <use> counted.", tol.DrawingPlaced),
			"Use fewer copies of copies.", n.place())
	}
	if c.skipped(n) || !c.wanted(n) {
		return nil
	}
	f := parent
	f.style = c.sheet.cascade(n, parent.style, c.notes)
	if strings.EqualFold(f.style.display, "none") {
		if isShape(n.tag) || n.tag == "g" {
			c.notes.add("drawing-hidden", finding.Note, "A hidden part of the drawing is left out", "Show it in the drawing if it is wanted.", n)
		}
		return nil
	}
	f.opacity *= parseOpacity(f.style.opacity)
	f.lay = c.layMark(n, parent.lay)
	c.place(n, &f)
	switch n.tag {
	case "svg":
		if n != c.doc.root {
			if err := c.cut(n, &f, nil); err != nil || !c.nested(n, &f, f.viewport) {
				return err
			}
		}
		return c.group(n, f)
	case "g", "a":
		if err := c.cut(n, &f, nil); err != nil {
			return err
		}
		return c.group(n, f)
	case "switch":
		if err := c.cut(n, &f, nil); err != nil {
			return err
		}
		for _, child := range n.children {
			if !c.skipped(child) && c.wanted(child) {
				return c.element(child, f)
			}
		}
		return nil
	case "use":
		return c.use(n, f)
	}
	return c.shape(n, f)
}

func (c *collector) group(n *node, f frame) error {
	for _, child := range n.children {
		if err := c.element(child, f); err != nil {
			return err
		}
	}
	return nil
}

// skipped reports whether an element is never drawn where it stands. Those
// that a person would miss are noted.
func (c *collector) skipped(n *node) bool {
	switch n.tag {
	case "text", "textPath", "tspan":
		c.notes.add("drawing-text", finding.Caution, "Text is not drawn", "Turn the text into paths in the drawing program, or use lettering.", n)
		return true
	case "image":
		c.notes.add("drawing-image", finding.Caution, "An embedded picture is not drawn", "Load the picture itself as a picture.", n)
		return true
	case "foreignObject", "video", "audio", "canvas", "iframe":
		c.notes.add("drawing-foreign", finding.Caution, "An element that is not part of the drawing is left out", "Replace it with paths.", n)
		return true
	case "script":
		c.notes.add("drawing-script", finding.Caution, "A script is not run; what it would draw is missing", "Save the drawing without scripts.", n)
		return true
	case "animate", "animateTransform", "animateMotion", "set":
		c.notes.add("drawing-animation", finding.Note, "An animation is left out; the drawing is read as it stands", "", n)
		return true
	case "svg", "g", "a", "switch", "use":
		return false
	}
	return !isShape(n.tag)
}

// wanted evaluates the conditions of SVG 2, §5.8.
func (c *collector) wanted(n *node) bool {
	if v, given := n.lookup("requiredExtensions"); given && strings.TrimSpace(v) != "" {
		return false
	}
	v, given := n.lookup("systemLanguage")
	if !given {
		return true
	}
	for _, tag := range strings.Split(v, ",") {
		tag = strings.ToLower(strings.TrimSpace(tag))
		want := strings.ToLower(c.options.Language)
		if tag == want || strings.HasPrefix(tag, want+"-") {
			return true
		}
	}
	return false
}

// place applies transform and transform-origin.
func (c *collector) place(n *node, f *frame) {
	list := f.style.placing()
	if list == "" {
		return
	}
	m, err := parseTransform(list)
	if err != nil {
		c.notes.add("drawing-bad-transform", finding.Caution, "A transform is not well-formed and is left out ("+err.Error()+")", "Correct the transform.", n)
		return
	}
	if f.style.transformOrigin != "" {
		if o, ok := parseOrigin(f.style.transformOrigin, f.viewport); ok {
			m = plane.Translate(-o.X, -o.Y).Then(m).Then(plane.Translate(o.X, o.Y))
		} else {
			c.notes.add("drawing-transform-origin", finding.Caution, "A transform-origin is of a kind that is not followed", "Write the transform as a matrix.", n)
		}
	}
	f.place = m.Then(f.place)
}

// nested opens the viewport of an inner svg or a symbol; false when it has no
// size and so is not drawn. whole is what 100 % stands for.
func (c *collector) nested(n *node, f *frame, whole plane.Point) bool {
	measure := func(name string, whole float64, otherwise length) float64 {
		l, ok := parseLength(geometry(n, &f.style, name))
		if !ok {
			l = otherwise
		}
		return l.user(whole)
	}
	x, y := measure("x", whole.X, length{}), measure("y", whole.Y, length{})
	size := plane.Point{X: measure("width", whole.X, length{100, "%"}), Y: measure("height", whole.Y, length{100, "%"})}
	if !(size.X > 0) || !(size.Y > 0) {
		return false
	}
	f.place = plane.Translate(x, y).Then(f.place)
	if o := f.style.overflow; o != "visible" && o != "auto" {
		f.clips = c.with(f.clips, &clipSource{parts: []clipPart{{path: rectangle(0, 0, size.X, size.Y, plane.Point{}), place: f.place}}})
	}
	f.viewport = size
	if box, ok := parseViewBox(n.attr("viewBox")); ok {
		m, _ := box.fit(size, n.attr("preserveAspectRatio"))
		f.place, f.viewport = m.Then(f.place), plane.Point{X: box.width, Y: box.height}
	}
	return true
}

// with returns the list with one more clip path.
func (c *collector) with(outer *clipList, source *clipSource) *clipList {
	key := clipList{outer: outer, source: source}
	if c.lists[key] == nil {
		c.lists[key] = &clipList{outer: outer, source: source}
	}
	return c.lists[key]
}

// use places a copy of the element that it refers to (SVG 2, §5.5).
func (c *collector) use(n *node, f frame) error {
	id, inside := reference(n.attr("href"))
	target := c.doc.byID[id]
	if !inside || target == nil {
		c.notes.add("drawing-use-missing", finding.Caution, "A <use> refers to something that is not in the file", "Save the drawing with everything inside one file.", n)
		return nil
	}
	for up := n; up != nil; up = up.parent {
		if up == target {
			return recursive(n)
		}
	}
	for _, u := range c.using {
		if u == n {
			return recursive(n)
		}
	}
	if len(c.using) >= tol.DrawingDepth {
		return recursive(n)
	}
	x, _ := parseLength(geometry(n, &f.style, "x"))
	y, _ := parseLength(geometry(n, &f.style, "y"))
	if err := c.cut(n, &f, nil); err != nil {
		return err
	}
	f.place = plane.Translate(x.user(f.viewport.X), y.user(f.viewport.Y)).Then(f.place)
	c.using = append(c.using, n)
	defer func() { c.using = c.using[:len(c.using)-1] }()
	if target.tag != "symbol" && target.tag != "svg" {
		return c.element(target, f)
	}
	if target == c.doc.root {
		return recursive(n)
	}
	f.style = c.sheet.cascade(target, f.style, c.notes)
	if strings.EqualFold(f.style.display, "none") {
		return nil
	}
	f.opacity *= parseOpacity(f.style.opacity)
	f.lay = c.layMark(target, f.lay)
	c.place(target, &f)
	sized := *target
	sized.attrs = append([]attribute(nil), target.attrs...)
	for _, name := range []string{"width", "height"} {
		// The size on the use element comes first (SVG 2, §5.5.1).
		if v, given := n.lookup(name); given && v != "auto" {
			sized.attrs = append([]attribute{{name, v}}, sized.attrs...)
		}
	}
	if !c.nested(&sized, &f, f.viewport) {
		return nil
	}
	return c.group(target, f)
}

func recursive(n *node) error {
	return stop("drawing-recursive-use", fmt.Sprintf("The element <%s> draws itself through <use>.", n.label()), "Remove the reference and save the drawing again.", n.place())
}

// shape places a shape element.
func (c *collector) shape(n *node, f frame) error {
	s := &f.style
	if v := strings.ToLower(s.visibility); v == "hidden" || v == "collapse" {
		c.notes.add("drawing-hidden", finding.Note, "A hidden part of the drawing is left out", "Show it in the drawing if it is wanted.", n)
		return nil
	}
	it := item{node: n, place: f.place, lay: f.lay, fill: parsePaint(s.fill, s.colour), stroke: parsePaint(s.stroke, s.colour)}
	it.fill, it.stroke = c.server(n, it.fill, s.fill), c.server(n, it.stroke, s.stroke)
	it.strokeBelow = s.strokeBelow()
	it.fill.alpha *= f.opacity * parseOpacity(s.fillOpacity)
	it.stroke.alpha *= f.opacity * parseOpacity(s.strokeOpacity)
	it.fill.drawn = it.fill.drawn && it.fill.alpha > 0 && n.tag != "line"
	it.stroke.drawn = it.stroke.drawn && it.stroke.alpha > 0
	if strings.EqualFold(s.fillRule, "evenodd") {
		it.rule = EvenOdd
	}
	width, ok := parseLength(s.strokeWidth)
	if !ok || width.value < 0 {
		c.notes.add("drawing-bad-length", finding.Caution, "A stroke width is no length and counts as 1", "Correct the stroke width.", n)
		width = length{1, ""}
	}
	it.strokeWidth = width.user(diagonal(f.viewport))
	it.widthInPx = s.vectorEffect == "non-scaling-stroke"
	it.stroke.drawn = it.stroke.drawn && it.strokeWidth > 0
	if !it.fill.drawn && !it.stroke.drawn {
		c.notes.add("drawing-invisible", finding.Note, "A shape has neither fill nor stroke and is left out", "Give it a stroke if it is a line.", n)
		return nil
	}
	var err error
	if it.path, err = c.outline(n, s, f.viewport); err != nil || len(it.path) == 0 {
		return err
	}
	if err := c.cut(n, &f, it.path); err != nil {
		return err
	}
	it.clips = f.clips
	for _, child := range n.children {
		c.skipped(child) // an animation is said
	}
	if it.stroke.drawn {
		c.noteStroke(n, s)
	} else {
		c.scene.filled++
		if c.scene.firstFill == nil {
			c.scene.firstFill = n
		}
	}
	c.scene.items = append(c.scene.items, it)
	return nil
}

// server resolves a paint that refers to a gradient or pattern: one that is not
// in the file gives way to the colour behind it, or to nothing (SVG 2, §13.2).
func (c *collector) server(n *node, p paint, value string) paint {
	if !p.drawn || !strings.HasPrefix(p.colour, "url(") {
		return p
	}
	if id, inside := reference(value); inside && c.doc.byID[id] != nil {
		return p
	}
	c.notes.add("drawing-paint-missing", finding.Note, "A gradient or pattern that a colour refers to is not in the file", "Save the drawing with everything inside one file.", n)
	_, behind, _ := strings.Cut(value, ")")
	return parsePaint(behind, "black")
}

// forScreens reads a media attribute; one with conditions is for nobody.
func forScreens(media string) bool {
	for _, one := range strings.Split(strings.ToLower(media), ",") {
		switch strings.TrimSpace(one) {
		case "", "all", "screen":
			return true
		}
	}
	return false
}

func (c *collector) noteStroke(n *node, s *style) {
	if dashes, _ := parseNumbers(s.dashes, 2); len(dashes) > 0 {
		c.notes.add("drawing-dashes", finding.Caution, "A dashed line is laid without its gaps", "Draw the dashes as lines if the gaps are wanted.", n)
	}
	if s.markerStart != "none" || s.markerMid != "none" || s.markerEnd != "none" {
		c.notes.add("drawing-markers", finding.Note, "Arrow heads and other markers on a line are left out", "Turn them into paths if they are wanted.", n)
	}
}

// layMark reads data-lay.
func (c *collector) layMark(n *node, inherited LayMark) LayMark {
	text, given := n.lookup("data-lay")
	if !given {
		return inherited
	}
	text = strings.ToLower(strings.TrimSpace(text))
	switch text {
	case "concentric":
		return LayMark{Kind: Concentric}
	case "radial":
		return LayMark{Kind: Radial}
	}
	number := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(text, "deg"), "°"))
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		c.notes.add("drawing-bad-lay", finding.Caution, "A data-lay attribute is neither an angle in degrees nor \"concentric\" nor \"radial\" and is left out",
			"Write an angle such as data-lay=\"30\".", n)
		return inherited
	}
	v = math.Mod(v, 180)
	if v < 0 {
		v += 180
	}
	if v >= 180 {
		v = 0
	}
	return LayMark{Kind: Fixed, Degrees: v}
}
