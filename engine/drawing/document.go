package drawing

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// The document is read with encoding/xml's token stream and not with a
// ready-made tree reader: findings need line and column of every element,
// nesting must not cost stack, and DOCTYPE entities must be bounded.

// node is one element of the file.
type node struct {
	tag      string
	id       string
	classes  []string
	attrs    []attribute
	children []*node
	parent   *node
	index    int    // place among the parent's children
	text     string // character data of a style element
	line     int    // from 1
	column   int    // byte column, from 1
}

type attribute struct{ name, value string }

// attr returns the value of an attribute, "" when it is absent.
func (n *node) attr(name string) string {
	value, _ := n.lookup(name)
	return value
}

func (n *node) lookup(name string) (string, bool) {
	for _, a := range n.attrs {
		if a.name == name {
			return a.value, true
		}
	}
	return "", false
}

// label names the element the way findings show it: tag#id.
func (n *node) label() string {
	if n.id == "" {
		return n.tag
	}
	return n.tag + "#" + n.id
}

func (n *node) place() *finding.Place {
	return &finding.Place{File: "artwork", Line: n.line, Column: n.column, Element: n.label()}
}

// document is the element tree with what is looked up in it.
type document struct {
	root   *node
	byID   map[string]*node
	styles []*node // style elements in document order
}

// stop makes a finding that ends the reading.
func stop(code, text, remedy string, place *finding.Place) error {
	return finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: place}
}

// unpack returns the plain bytes of a file that may be gzip-compressed.
func unpack(data []byte) ([]byte, error) {
	if len(data) == 0 {
		return nil, stop("drawing-empty", "The file is empty.", "Choose another file, or save the drawing again.", nil)
	}
	if bytes.HasPrefix(data, []byte{0x1f, 0x8b}) {
		reader, err := gzip.NewReader(bytes.NewReader(data))
		if err != nil {
			return nil, stop("drawing-packed", "The compressed file cannot be unpacked.", "Save it again as plain SVG.", nil)
		}
		data, err = io.ReadAll(io.LimitReader(reader, tol.DrawingBytes+1))
		if err != nil {
			return nil, stop("drawing-packed", "The compressed file is damaged or cut short.", "Save it again as plain SVG.", nil)
		}
	}
	if len(data) > tol.DrawingBytes {
		return nil, stop("drawing-too-large", fmt.Sprintf("The drawing is larger than %d MB.", tol.DrawingBytes>>20),
			"Remove embedded pictures and parts that are not needed, then save it again.", nil)
	}
	return data, nil
}

// parseDocument reads the element tree. Errors are findings of level stop.
func parseDocument(ctx context.Context, data []byte, notes *notebook) (*document, error) {
	text, err := toUTF8(data)
	if err != nil {
		return nil, err
	}
	body, err := expandEntities(text, notes)
	if err != nil {
		return nil, err
	}
	decoder := xml.NewDecoder(strings.NewReader(body.text))
	// The text is UTF-8 already, whatever its declaration says.
	decoder.CharsetReader = func(_ string, input io.Reader) (io.Reader, error) { return input, nil }

	tree := &document{byID: map[string]*node{}}
	var open *node
	prefix := ""
	foreign, depth, count := 0, 0, 0
	for {
		offset := int(decoder.InputOffset())
		token, err := decoder.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, syntaxError(err, body, int(decoder.InputOffset()), tree.root != nil)
		}
		switch t := token.(type) {
		case xml.StartElement:
			if count++; count&1023 == 0 && ctx.Err() != nil {
				return nil, cancelled()
			}
			depth++
			if tree.root == nil {
				prefix = t.Name.Space
			}
			if foreign > 0 || !isSVGName(t.Name, prefix) {
				foreign++
				continue
			}
			n := newNode(t, open)
			n.line, n.column = body.position(offset)
			if tree.root == nil {
				if n.tag != "svg" {
					return nil, stop("drawing-not-svg", fmt.Sprintf("The file is not an SVG drawing: its first element is <%s>.", finding.Quoted(n.tag)),
						"Choose an SVG file.", n.place())
				}
				tree.root = n
			}
			if count > tol.DrawingElements {
				return nil, stop("drawing-too-many-elements", fmt.Sprintf("The drawing has more than %d elements.", tol.DrawingElements),
					"Simplify the drawing or join its paths.", n.place())
			}
			if depth > tol.DrawingDepth {
				return nil, stop("drawing-too-deep", fmt.Sprintf("The elements are nested more than %d levels deep.", tol.DrawingDepth),
					"Ungroup the drawing and save it again.", n.place())
			}
			if n.id != "" && tree.byID[n.id] == nil {
				tree.byID[n.id] = n
			}
			if n.tag == "style" {
				tree.styles = append(tree.styles, n)
			}
			open = n
		case xml.EndElement:
			depth--
			if foreign > 0 {
				foreign--
				continue
			}
			if open == nil || t.Name.Local != open.tag {
				line, column := body.position(offset)
				return nil, stop("drawing-xml", fmt.Sprintf("The closing tag </%s> does not belong here.", finding.Quoted(t.Name.Local)),
					"The file is damaged; save the drawing again.", &finding.Place{File: "artwork", Line: line, Column: column})
			}
			open = open.parent
		case xml.CharData:
			if foreign == 0 && open != nil && open.tag == "style" {
				open.text += string(t)
			}
		}
	}
	if tree.root == nil {
		return nil, notSVG(body.text)
	}
	if open != nil {
		return nil, stop("drawing-cut-short", fmt.Sprintf("The file ends before <%s> is closed.", open.label()),
			"The file is cut short; save or download it again.", open.place())
	}
	return tree, nil
}

// newNode makes the node for a start tag and hangs it on its parent.
func newNode(t xml.StartElement, parent *node) *node {
	n := &node{tag: t.Name.Local, parent: parent}
	for _, a := range t.Attr {
		name := a.Name.Local
		// Prefixed attributes belong to other vocabularies, save for links.
		if a.Name.Space != "" {
			if name != "href" || n.attr("href") != "" {
				continue
			}
		}
		n.attrs = append(n.attrs, attribute{name, a.Value})
		switch name {
		case "id":
			n.id = strings.TrimSpace(a.Value)
		case "class":
			n.classes = strings.Fields(a.Value)
		}
	}
	if parent != nil {
		n.index = len(parent.children)
		parent.children = append(parent.children, n)
	}
	return n
}

// isSVGName reports whether an element belongs to the SVG vocabulary. Raw
// tokens carry the prefix, not the namespace: an element counts when it has
// no prefix, the usual one or that of the root element.
func isSVGName(name xml.Name, rootPrefix string) bool {
	return name.Space == "" || name.Space == "svg" || name.Space == rootPrefix
}

// syntaxError turns an XML error into a finding with its place.
func syntaxError(err error, body *expanded, offset int, started bool) error {
	if !started {
		return notSVG(body.text)
	}
	line, column := body.position(offset)
	place := &finding.Place{File: "artwork", Line: line, Column: column}
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		if strings.Contains(syntax.Msg, "unexpected EOF") {
			return stop("drawing-cut-short", "The file ends in the middle of an element.", "The file is cut short; save or download it again.", place)
		}
		return stop("drawing-xml", "The file is not well-formed XML: "+finding.Quoted(syntax.Msg)+".", "The file is damaged; save the drawing again.", place)
	}
	return stop("drawing-xml", "The file is not well-formed XML.", "The file is damaged; save the drawing again.", place)
}

// notSVG says what the file begins with when no element was found in it.
func notSVG(text string) error {
	f := finding.Finding{Code: "drawing-not-svg", Level: finding.Stop, Text: "The file is not an SVG drawing.",
		Remedy: "Choose an SVG file; a PNG or JPEG picture goes in as a picture.", Place: &finding.Place{File: "artwork", Line: 1, Column: 1}}
	f.Quote = finding.Quoted(text)
	return f
}

func cancelled() error {
	return stop("drawing-cancelled", "Reading the drawing was stopped.", "", nil)
}
