package drawing

import (
	"sort"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// Style sheets are read by the grammar of CSS Syntax 3 as far as a drawing
// needs it: rules with selectors of types, classes, ids, * and the four
// combinators. At-rules and other selectors are reported.

// styleSheet holds the rules of all style elements, found by what their last
// compound asks for.
type styleSheet struct {
	byID, byClass, byTag map[string][]*cssRule
	others               []*cssRule
	selectors            int
	work                 int // comparisons that may still be made; a hostile sheet needs the third power of the file
}

type cssRule struct {
	selector     []compound // left to right
	specificity  [3]int
	order        int
	declarations []declaration
}

// compound is a run of simple selectors; before says how it hangs on the
// compound to its left: ' ', '>', '+', '~', or 0 for the first.
type compound struct {
	before  byte
	tag, id string
	classes []string
}

type declaration struct {
	name, value string
	important   bool
}

func newStyleSheet() *styleSheet {
	return &styleSheet{work: tol.DrawingStyleTests, byID: map[string][]*cssRule{}, byClass: map[string][]*cssRule{}, byTag: map[string][]*cssRule{}}
}

// parse adds the rules of one style element.
func (s *styleSheet) parse(text string, source *node, notes *notebook) {
	text = withoutComments(text)
	for text = strings.TrimSpace(text); text != ""; text = strings.TrimSpace(text) {
		if inner, after, follow := screenBlock(text); follow {
			text = inner + " " + after
			continue
		}
		if text[0] == '@' {
			notes.add("drawing-style-at-rule", finding.Note, "A rule of the style sheet that begins with @ is not followed",
				"Save the drawing with its styles written on the elements.", source)
			text = afterAtRule(text)
			continue
		}
		prelude, rest, found := strings.Cut(text, "{")
		if !found {
			return
		}
		body, after := cutBlock(rest)
		declarations := parseDeclarations(body)
		for _, one := range strings.Split(prelude, ",") {
			if s.selectors++; s.selectors > tol.DrawingSelectors {
				notes.add("drawing-style-too-long", finding.Caution, "The style sheet has too many rules; the last ones are not followed",
					"Save the drawing with its styles written on the elements.", source)
				return
			}
			selector, ok := parseSelector(one)
			if !ok {
				notes.addQuoting("drawing-style-selector", finding.Caution, "A selector of the style sheet is of a kind that is not followed",
					"Use types, classes and ids, or write the style on the elements.", strings.TrimSpace(one), source)
				continue
			}
			s.insert(&cssRule{selector: selector, specificity: specificity(selector), order: s.selectors, declarations: declarations})
		}
		text = after
	}
}

func (s *styleSheet) insert(r *cssRule) {
	last := r.selector[len(r.selector)-1]
	switch {
	case last.id != "":
		s.byID[last.id] = append(s.byID[last.id], r)
	case len(last.classes) > 0:
		s.byClass[last.classes[0]] = append(s.byClass[last.classes[0]], r)
	case last.tag != "":
		s.byTag[last.tag] = append(s.byTag[last.tag], r)
	default:
		s.others = append(s.others, r)
	}
}

// matching returns the rules that hold for n in rising weight (CSS Cascade 4,
// §6.4: specificity, then order).
func (s *styleSheet) matching(n *node) []*cssRule {
	if s.selectors == 0 || s.work < 0 {
		return nil
	}
	var found []*cssRule
	try := func(rules []*cssRule) {
		for _, r := range rules {
			if s.matchFrom(r.selector, len(r.selector)-1, n) {
				found = append(found, r)
			}
		}
	}
	try(s.others)
	try(s.byTag[n.tag])
	for i, class := range n.classes {
		if !contains(n.classes[:i], class) {
			try(s.byClass[class])
		}
	}
	if n.id != "" {
		try(s.byID[n.id])
	}
	sort.Slice(found, func(i, j int) bool {
		a, b := found[i], found[j]
		for k := range a.specificity {
			if a.specificity[k] != b.specificity[k] {
				return a.specificity[k] < b.specificity[k]
			}
		}
		return a.order < b.order
	})
	return found
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// matchFrom tries a selector from its right end; a descendant or sibling
// combinator tries every candidate.
func (s *styleSheet) matchFrom(selector []compound, i int, n *node) bool {
	c := selector[i]
	s.work--
	if s.work < 0 || !c.matches(n) {
		return false
	}
	switch c.before {
	case 0:
		return true
	case '>':
		return n.parent != nil && s.matchFrom(selector, i-1, n.parent)
	case '+':
		return n.parent != nil && n.index > 0 && s.matchFrom(selector, i-1, n.parent.children[n.index-1])
	case '~':
		if n.parent == nil {
			return false
		}
		for k := n.index - 1; k >= 0; k-- {
			if s.matchFrom(selector, i-1, n.parent.children[k]) {
				return true
			}
		}
		return false
	default:
		for p := n.parent; p != nil; p = p.parent {
			if s.matchFrom(selector, i-1, p) {
				return true
			}
		}
		return false
	}
}

func (c compound) matches(n *node) bool {
	if c.tag != "" && c.tag != n.tag || c.id != "" && c.id != n.id {
		return false
	}
	for _, class := range c.classes {
		if !contains(n.classes, class) {
			return false
		}
	}
	return true
}

// specificity counts ids, classes and types (Selectors 4, §17).
func specificity(selector []compound) (s [3]int) {
	for _, c := range selector {
		if c.id != "" {
			s[0]++
		}
		s[1] += len(c.classes)
		if c.tag != "" {
			s[2]++
		}
	}
	return s
}

// maxCompounds bounds the length of one selector, and with it the cost of
// trying descendants of descendants.
const maxCompounds = 4

// parseSelector reads one complex selector; false when it holds anything else
// than types, classes, ids, * and combinators.
func parseSelector(s string) ([]compound, bool) {
	s = strings.TrimSpace(s)
	var out []compound
	combinator := byte(0)
	for s != "" {
		c := compound{before: combinator}
		start := len(s)
		for s != "" && (s[0] == '.' || s[0] == '#' || s[0] == '*' || isNameByte(s[0])) {
			mark := s[0]
			if !isNameByte(mark) {
				s = s[1:]
			}
			width := 0
			for width < len(s) && isNameByte(s[width]) {
				width++
			}
			name := s[:width]
			s = s[width:]
			switch {
			case mark == '*' && name == "":
			case name == "":
				return nil, false
			case mark == '.':
				c.classes = append(c.classes, name)
			case mark == '#' && c.id == "":
				c.id = name
			case isNameByte(mark) && len(s)+width == start:
				c.tag = name
			default:
				return nil, false
			}
		}
		if len(s) == start || len(out) == maxCompounds {
			return nil, false
		}
		out = append(out, c)
		if s == "" {
			break
		}
		trimmed := strings.TrimLeft(s, " \t\r\n\f")
		combinator = ' '
		if trimmed != "" && strings.IndexByte(">+~", trimmed[0]) >= 0 {
			combinator = trimmed[0]
			trimmed = strings.TrimLeft(trimmed[1:], " \t\r\n\f")
			if trimmed == "" {
				return nil, false
			}
		} else if len(trimmed) == len(s) {
			return nil, false
		}
		s = trimmed
	}
	return out, len(out) > 0
}

func isNameByte(c byte) bool {
	return isDigit(c) || c|0x20 >= 'a' && c|0x20 <= 'z' || c == '-' || c == '_' || c >= 0x80
}

// parseDeclarations reads "name: value; …" of a rule or a style attribute.
func parseDeclarations(body string) []declaration {
	var out []declaration
	for body != "" {
		var one string
		one, body = cutDeclaration(body)
		name, value, found := strings.Cut(one, ":")
		if !found {
			continue
		}
		d := declaration{name: strings.ToLower(strings.TrimSpace(name)), value: strings.TrimSpace(value)}
		if mark := strings.LastIndexByte(d.value, '!'); mark >= 0 && strings.EqualFold(strings.TrimSpace(d.value[mark+1:]), "important") {
			d.value, d.important = strings.TrimSpace(d.value[:mark]), true
		}
		out = append(out, d)
	}
	return out
}

// cutDeclaration cuts at the next semicolon outside quotes and brackets.
func cutDeclaration(s string) (one, rest string) {
	quote, depth := byte(0), 0
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '(':
			depth++
		case c == ')':
			depth--
		case c == ';' && depth <= 0:
			return s[:i], s[i+1:]
		}
	}
	return s, ""
}

// cutBlock returns the text up to the brace that closes a block and what
// stands behind it.
func cutBlock(s string) (body, after string) {
	depth := 1
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return s[:i], s[i+1:]
			}
		}
	}
	return s, ""
}

// screenBlock opens a block of rules that is meant for screens.
func screenBlock(s string) (inner, after string, follow bool) {
	condition, block, found := strings.Cut(s, "{")
	media, named := strings.CutPrefix(strings.ToLower(condition), "@media")
	if !found || !named || !forScreens(media) {
		return "", "", false
	}
	inner, after = cutBlock(block)
	return inner, after, true
}

// afterAtRule skips an at-rule: to its semicolon, or behind its block.
func afterAtRule(s string) string {
	end := strings.IndexAny(s, ";{")
	if end < 0 {
		return ""
	}
	if s[end] == ';' {
		return s[end+1:]
	}
	_, after := cutBlock(s[end+1:])
	return after
}

func withoutComments(s string) string {
	if !strings.Contains(s, "/*") && !strings.Contains(s, "<!--") {
		return s
	}
	s = strings.NewReplacer("<!--", "", "-->", "").Replace(s)
	var b strings.Builder
	for {
		before, after, found := strings.Cut(s, "/*")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		b.WriteByte(' ')
		if _, s, found = strings.Cut(after, "*/"); !found {
			return b.String()
		}
	}
}
