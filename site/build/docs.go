package main

import (
	"fmt"
	"html"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
)

const docHead = `<!doctype html>
<html lang="en">
<head>
  <meta charset="utf-8">
  <meta name="viewport" content="width=device-width, initial-scale=1">
  <meta name="color-scheme" content="light dark">
  <title>%s · Sheenlay</title>
  <link rel="stylesheet" href="help.css">
</head>
<body>
<main>
`

const docTail = "</main>\n</body>\n</html>\n"

// jobPage writes the page that documents every field of a job file, from the
// same table that reads them.
func jobPage() string {
	var b strings.Builder
	fmt.Fprintf(&b, docHead, "Job files")
	b.WriteString("<h1>Job files</h1>\n<p>A job file is JSON: an object with the version of the format, <code>\"sheenlay\": 1</code>, and one object for each section below. Every field may be left out; its default holds then. Unknown fields and values outside the limits are refused by name, never corrected in silence. The page saves and opens the same files that <code>go run ./wasm -out FILE -report FILE JOB.json</code> runs.</p>\n")
	section := ""
	for _, f := range job.Fields() {
		if f.Section != section {
			if section != "" {
				b.WriteString("</tbody></table></div>\n")
			}
			section = f.Section
			fmt.Fprintf(&b, "<h2 id=\"%[1]s\">%[1]s</h2>\n<div class=\"wide\"><table>\n<thead><tr><th scope=\"col\">Field</th><th scope=\"col\">Meaning</th><th scope=\"col\">Default</th><th scope=\"col\">Limits</th></tr></thead>\n<tbody>\n", section)
		}
		fmt.Fprintf(&b, "<tr><th scope=\"row\"><code>%s</code></th><td>%s</td><td>%s</td><td>%s</td></tr>\n",
			strings.TrimPrefix(f.Path, section+"."), html.EscapeString(f.Doc), html.EscapeString(defaultWords(f)), html.EscapeString(limits(f)))
	}
	b.WriteString("</tbody></table></div>\n" + docTail)
	return b.String()
}

func defaultWords(f job.Field) string {
	switch v := f.Default.(type) {
	case float64:
		return strings.TrimSpace(finding.Figure(v) + " " + f.Unit)
	case string:
		if v == "" {
			return "empty"
		}
		return fmt.Sprintf("%q", v)
	case bool:
		return fmt.Sprint(v)
	default:
		return "empty"
	}
}

func limits(f job.Field) string {
	switch f.Kind {
	case job.Number, job.Whole:
		words := strings.TrimSpace(fmt.Sprintf("%s to %s %s", finding.Figure(f.Min), finding.Figure(f.Max), f.Unit))
		if f.Zero != "" {
			words += ", or 0: " + f.Zero
		}
		return words
	case job.Choice:
		var words []string
		for _, c := range f.Choices {
			words = append(words, fmt.Sprintf("%q", c.Value))
		}
		return strings.Join(words, ", ")
	case job.Text:
		return fmt.Sprintf("at most %s bytes", finding.Figure(f.Max))
	case job.Bool:
		return "true, false"
	default:
		return fmt.Sprintf("at most %s entries", finding.Figure(f.Max))
	}
}
