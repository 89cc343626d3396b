package drawing

import (
	"fmt"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// cut adds the clip path of an element to its frame (CSS Masking 1, §3) and
// notes masks and filters, which are not followed. path is the element's own
// outline, nil for a group.
func (c *collector) cut(n *node, f *frame, path []subpath) error {
	s := &f.style
	if s.mask != "none" {
		c.notes.add("drawing-mask", finding.Caution, "A mask is not followed; what it hides is drawn", "Replace the mask with a clip path or cut the lines.", n)
	}
	if s.filter != "none" {
		c.notes.add("drawing-filter", finding.Note, "A filter effect is left out", "", n)
	}
	if s.clipPath == "none" {
		return nil
	}
	if !strings.HasPrefix(s.clipPath, "url(") {
		c.notes.add("drawing-clip-kind", finding.Caution, "A clip path is of a kind that is not followed; what it hides is drawn", "Use a <clipPath> element.", n)
		return nil
	}
	id, inside := reference(s.clipPath)
	target := c.doc.byID[id]
	if !inside || target == nil || target.tag != "clipPath" {
		c.notes.add("drawing-clip-missing", finding.Caution, "A clip path that is referred to is not in the file; the element is drawn whole", "Save the drawing with everything inside one file.", n)
		return nil
	}
	source, err := c.clipPath(target, *f, n, path)
	if err != nil || source == nil {
		return err
	}
	f.clips = c.with(f.clips, source)
	return nil
}

// clipKey tells clip paths apart: the same element in the same user space is
// the same clip path.
type clipKey struct {
	target   *node
	place    plane.Affine
	viewport plane.Point
}

// clipPath resolves a clipPath element in the user space of the element n
// that it cuts; nil when it is of a kind that is not followed.
func (c *collector) clipPath(target *node, f frame, n *node, path []subpath) (*clipSource, error) {
	for _, open := range c.clipped {
		if open == target {
			return nil, stop("drawing-recursive-clip", fmt.Sprintf("The clip path <%s> refers to itself.", target.label()),
				"Remove the reference and save the drawing again.", target.place())
		}
	}
	c.clipped = append(c.clipped, target)
	defer func() { c.clipped = c.clipped[:len(c.clipped)-1] }()

	inner := frame{place: f.place, viewport: f.viewport, opacity: 1, style: c.styleInPlace(target)}
	if target.attr("clipPathUnits") == "objectBoundingBox" {
		box := boxOf(path)
		if path == nil || box.Empty() {
			c.notes.add("drawing-clip-kind", finding.Caution, "A clip path is of a kind that is not followed; what it hides is drawn", "Use a clip path in user units.", n)
			return nil, nil
		}
		size := box.Size()
		inner.place = plane.Affine{A: size.X, D: size.Y, E: box.Min.X, F: box.Min.Y}.Then(f.place)
		inner.viewport = plane.Point{X: 1, Y: 1}
	}
	key := clipKey{target, inner.place, inner.viewport}
	if source := c.sources[key]; source != nil {
		return source, nil
	}
	c.place(target, &inner)
	if err := c.cut(target, &inner, nil); err != nil {
		return nil, err
	}
	source := &clipSource{}
	for _, child := range target.children {
		if err := c.clipChild(child, child, inner, source); err != nil {
			return nil, err
		}
	}
	c.sources[key] = source
	return source, nil
}

// clipChild adds one child of a clipPath, or what a <use> among them refers
// to.
func (c *collector) clipChild(n, shown *node, parent frame, source *clipSource) error {
	c.placed++
	f := parent
	f.style = c.sheet.cascade(n, parent.style, c.notes)
	if strings.EqualFold(f.style.display, "none") || strings.EqualFold(f.style.visibility, "hidden") {
		return nil
	}
	c.place(n, &f)
	switch {
	case n.tag == "use":
		id, inside := reference(n.attr("href"))
		target := c.doc.byID[id]
		if !inside || target == nil || !isShape(target.tag) {
			c.notes.add("drawing-clip-kind", finding.Caution, "A clip path is of a kind that is not followed; what it hides is drawn", "Use paths inside the clip path.", shown)
			return nil
		}
		x, _ := parseLength(geometry(n, &f.style, "x"))
		y, _ := parseLength(geometry(n, &f.style, "y"))
		f.place = plane.Translate(x.user(f.viewport.X), y.user(f.viewport.Y)).Then(f.place)
		if err := c.cut(n, &f, nil); err != nil {
			return err
		}
		return c.clipChild(target, shown, f, source)
	case isShape(n.tag):
		path, err := c.outline(n, &f.style, f.viewport)
		if err != nil {
			return err
		}
		if err := c.cut(n, &f, path); err != nil {
			return err
		}
		part := clipPart{path: path, place: f.place, clips: f.clips}
		if strings.EqualFold(f.style.clipRule, "evenodd") {
			part.rule = EvenOdd
		}
		source.parts = append(source.parts, part)
	case n.tag == "text":
		c.notes.add("drawing-clip-text", finding.Caution, "Text in a clip path is not followed", "Turn the text into paths.", n)
	}
	return nil
}

// styleInPlace returns the style of an element from where it stands in the
// file, which is what the content of a clip path inherits from.
func (c *collector) styleInPlace(n *node) style {
	var chain []*node
	for p := n; p != nil; p = p.parent {
		chain = append(chain, p)
	}
	s := initialStyle()
	for i := len(chain) - 1; i >= 0; i-- {
		s = c.sheet.cascade(chain[i], s, c.notes)
	}
	return s
}
