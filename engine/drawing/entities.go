package drawing

import (
	"encoding/binary"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// toUTF8 returns the text of the file. UTF-8, UTF-16 with a byte order mark
// and the one-byte encodings of western Europe are read; anything else is
// refused by name.
func toUTF8(data []byte) (string, error) {
	switch {
	case len(data) >= 2 && data[0] == 0xFE && data[1] == 0xFF:
		return fromUTF16(data[2:], binary.BigEndian), nil
	case len(data) >= 2 && data[0] == 0xFF && data[1] == 0xFE:
		return fromUTF16(data[2:], binary.LittleEndian), nil
	}
	text := strings.TrimPrefix(string(data), "\uFEFF")
	switch name := strings.ToLower(declaredEncoding(text)); name {
	case "", "utf-8", "utf8", "us-ascii", "ascii", "utf-16":
		if !utf8.ValidString(text) {
			return fromLatin1(text), nil
		}
		return text, nil
	case "iso-8859-1", "latin1", "iso-8859-15", "windows-1252", "cp1252":
		return fromLatin1(text), nil
	default:
		return "", stop("drawing-encoding", fmt.Sprintf("The file is written in the encoding %q, which is not read here.", finding.Quoted(name)),
			"Save the drawing as UTF-8.", &finding.Place{File: "artwork", Line: 1, Column: 1})
	}
}

func fromUTF16(data []byte, order binary.ByteOrder) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return string(utf16.Decode(units))
}

// fromLatin1 reads every byte as the code point of its value. The letters of
// ids and text may come out wrong for related encodings; geometry is ASCII.
func fromLatin1(text string) string {
	var b strings.Builder
	b.Grow(len(text) + len(text)/8)
	for i := 0; i < len(text); i++ {
		b.WriteRune(rune(text[i]))
	}
	return b.String()
}

// declaredEncoding returns the encoding named in the XML declaration, "" when
// there is none.
func declaredEncoding(text string) string {
	if !strings.HasPrefix(text, "<?xml") {
		return ""
	}
	declaration, _, found := strings.Cut(text[:min(len(text), 400)], "?>")
	if !found {
		return ""
	}
	_, after, found := strings.Cut(declaration, "encoding")
	if !found {
		return ""
	}
	after = strings.TrimLeft(after, " \t\r\n=")
	if after == "" || after[0] != '"' && after[0] != '\'' {
		return ""
	}
	value, _, _ := strings.Cut(after[1:], after[:1])
	return strings.TrimSpace(value)
}

// expanded is the text of a document with its entities put in, and the way
// back from offsets in it to places in the file.
type expanded struct {
	text   string
	source string
	runs   []run
	lines  []int // offsets at which the lines of source start
}

// run says that from offset at on the text is the source's from offset from
// on; all of an expansion counts as the place of its reference.
type run struct {
	at, from int
	fixed    bool
}

// position returns line and byte column, from 1, of an offset in the text.
func (e *expanded) position(offset int) (line, column int) {
	k := sort.Search(len(e.runs), func(i int) bool { return e.runs[i].at > offset }) - 1
	from := offset
	if k >= 0 {
		from = e.runs[k].from
		if !e.runs[k].fixed {
			from += offset - e.runs[k].at
		}
	}
	if e.lines == nil {
		e.lines = []int{0}
		for i := 0; i < len(e.source); i++ {
			if e.source[i] == '\n' {
				e.lines = append(e.lines, i+1)
			}
		}
	}
	l := sort.SearchInts(e.lines, from+1)
	return l, from - e.lines[l-1] + 1
}

func (e *expanded) placeOf(from int) *finding.Place {
	plain := expanded{source: e.source, lines: e.lines}
	line, column := plain.position(from)
	return &finding.Place{File: "artwork", Line: line, Column: column}
}

// entityTable holds the internal entities of a DOCTYPE (XML 1.0, §4.2.1) and
// expands them with a bound on depth and size.
type entityTable struct {
	declared map[string]string
	external map[string]bool
	ready    map[string]string
	active   map[string]bool
	used     int // bytes of all expansions made ready
}

var errEntityLoop = fmt.Errorf("refers to itself")
var errEntitySize = fmt.Errorf("expands to too much text")

// expand returns the replacement text of an entity, entities inside it
// expanded too.
func (t *entityTable) expand(name string) (string, error) {
	if text, ok := t.ready[name]; ok {
		return text, nil
	}
	if t.active[name] {
		return "", errEntityLoop
	}
	t.active[name] = true
	defer delete(t.active, name)
	var b strings.Builder
	value := t.declared[name]
	for value != "" {
		start := strings.IndexByte(value, '&')
		if start < 0 {
			b.WriteString(value)
			break
		}
		b.WriteString(value[:start])
		inner, rest, ok := strings.Cut(value[start+1:], ";")
		if _, known := t.declared[inner]; ok && known {
			text, err := t.expand(inner)
			if err != nil {
				return "", err
			}
			b.WriteString(text)
			value = rest
		} else {
			b.WriteByte('&')
			value = value[start+1:]
		}
		if b.Len() > tol.DrawingEntityGrowth {
			return "", errEntitySize
		}
	}
	t.used += b.Len()
	if t.used > 2*tol.DrawingEntityGrowth {
		return "", errEntitySize
	}
	t.ready[name] = b.String()
	return b.String(), nil
}

// expandEntities takes the DOCTYPE out of the text and puts the entities it
// declares in their places.
func expandEntities(text string, notes *notebook) (*expanded, error) {
	e := &expanded{text: text, source: text}
	start, end := findDoctype(text)
	if start < 0 {
		return e, nil
	}
	if end < 0 {
		return nil, stop("drawing-doctype", "The DOCTYPE of the drawing is not closed.",
			"The file is damaged or cut short; save the drawing again.", e.placeOf(start))
	}
	table, err := readDoctype(text[start:end])
	if err != nil {
		return nil, stop("drawing-doctype", "The DOCTYPE of the drawing cannot be read: "+err.Error()+".",
			"Remove the DOCTYPE, or save the drawing again as plain SVG.", e.placeOf(start))
	}
	var b strings.Builder
	b.Grow(len(text))
	copyFrom := func(from, to int) {
		e.runs = append(e.runs, run{at: b.Len(), from: from})
		b.WriteString(text[from:to])
	}
	copyFrom(0, start)
	pos, last := end, end
	quote, inTag := byte(0), false
	for pos < len(text) {
		c := text[pos]
		switch {
		case c == '<' && quote == 0:
			if skip := skipMarkup(text[pos:]); skip > 0 {
				pos += skip
				continue
			}
			inTag = true
		case c == '>' && quote == 0:
			inTag = false
		case inTag && (c == '"' || c == '\''):
			switch quote {
			case 0:
				quote = c
			case c:
				quote = 0
			}
		case c == '&':
			name, _, ok := strings.Cut(text[pos+1:min(len(text), pos+200)], ";")
			if _, known := table.declared[name]; ok && known {
				replacement, err := table.expand(name)
				if err == nil && b.Len()+len(replacement) > len(text)+tol.DrawingEntityGrowth {
					err = errEntitySize
				}
				if err != nil {
					return nil, stop("drawing-entity", fmt.Sprintf("The entity &%s; %s.", finding.Quoted(name), err),
						"Save the drawing again as plain SVG without entities.", e.placeOf(pos))
				}
				copyFrom(last, pos)
				e.runs = append(e.runs, run{at: b.Len(), from: pos, fixed: true})
				if quote != 0 {
					replacement = strings.NewReplacer(`"`, "&quot;", "'", "&apos;").Replace(replacement)
				}
				b.WriteString(replacement)
				pos += len(name) + 2
				last = pos
				continue
			}
			if ok && table.external[name] {
				notes.addAt("drawing-entity-outside", finding.Caution, "The drawing refers to text in another file, which is not fetched", "entity",
					"Save the drawing again with everything inside one file.", e.placeOf(pos))
				copyFrom(last, pos)
				pos += len(name) + 2
				last = pos
				continue
			}
		}
		pos++
	}
	copyFrom(last, len(text))
	e.text = b.String()
	return e, nil
}

// skipMarkup returns the length of a comment, CDATA section or processing
// instruction at the start of s, 0 when there is none.
func skipMarkup(s string) int {
	for _, pair := range [...][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}} {
		if strings.HasPrefix(s, pair[0]) {
			if end := strings.Index(s[len(pair[0]):], pair[1]); end >= 0 {
				return len(pair[0]) + end + len(pair[1])
			}
			return len(s)
		}
	}
	return 0
}

// findDoctype returns the span of the DOCTYPE, or −1 when there is none
// before the first element; end is −1 where it is not closed. Its internal subset may hold quotes and comments.
func findDoctype(text string) (start, end int) {
	pos := 0
	for pos < len(text) {
		next := strings.IndexByte(text[pos:], '<')
		if next < 0 {
			return -1, -1
		}
		pos += next
		if skip := skipMarkup(text[pos:]); skip > 0 {
			pos += skip
			continue
		}
		if !strings.HasPrefix(text[pos:], "<!DOCTYPE") {
			return -1, -1
		}
		start = pos
		subset, quote := false, byte(0)
		for pos < len(text) {
			c := text[pos]
			switch {
			case quote != 0:
				if c == quote {
					quote = 0
				}
			case c == '"' || c == '\'':
				quote = c
			case c == '[':
				subset = true
			case c == ']':
				subset = false
			case c == '>' && !subset:
				return start, pos + 1
			case c == '<':
				if skip := skipMarkup(text[pos:]); skip > 0 {
					pos += skip
					continue
				}
			}
			pos++
		}
		return start, -1
	}
	return -1, -1
}

// readDoctype collects the entity declarations of a DOCTYPE.
func readDoctype(text string) (*entityTable, error) {
	t := &entityTable{declared: map[string]string{}, external: map[string]bool{}, ready: map[string]string{}, active: map[string]bool{}}
	for {
		start := strings.Index(text, "<!")
		if start < 0 {
			return t, nil
		}
		text = text[start:]
		if skip := skipMarkup(text); skip > 0 {
			text = text[skip:]
			continue
		}
		rest, isEntity := strings.CutPrefix(text, "<!ENTITY")
		if !isEntity {
			text = text[2:]
			continue
		}
		text = rest
		rest = strings.TrimLeft(rest, " \t\r\n")
		if strings.HasPrefix(rest, "%") { // parameter entities act inside the DOCTYPE only
			continue
		}
		width := strings.IndexAny(rest, " \t\r\n")
		if width <= 0 || width > 190 {
			return nil, fmt.Errorf("an entity has no name")
		}
		name := rest[:width]
		rest = strings.TrimLeft(rest[width:], " \t\r\n")
		if strings.HasPrefix(rest, "SYSTEM") || strings.HasPrefix(rest, "PUBLIC") {
			t.external[name] = true
			continue
		}
		if rest == "" || rest[0] != '"' && rest[0] != '\'' {
			return nil, fmt.Errorf("the entity %s has no quoted text", finding.Quoted(name))
		}
		value, after, closed := strings.Cut(rest[1:], rest[:1])
		if !closed {
			return nil, fmt.Errorf("the text of the entity %s does not end", finding.Quoted(name))
		}
		if _, twice := t.declared[name]; !twice { // the first declaration binds (XML 1.0, §4.2)
			t.declared[name] = charReferences(value)
		}
		text = after
	}
}

// charReferences puts the characters of &#n; and &#xh; in their places, as
// XML 1.0, §4.4 asks for where an entity is declared.
func charReferences(value string) string {
	if !strings.Contains(value, "&#") {
		return value
	}
	var b strings.Builder
	for {
		before, after, found := strings.Cut(value, "&#")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		digits, rest, closed := strings.Cut(after, ";")
		base := 10
		number := digits
		if hex, isHex := strings.CutPrefix(digits, "x"); isHex {
			base, number = 16, hex
		}
		code, err := strconv.ParseUint(number, base, 21)
		if !closed || err != nil {
			b.WriteString("&#")
			value = after
			continue
		}
		b.WriteRune(rune(code))
		value = rest
	}
}
