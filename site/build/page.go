package main

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// hostedPage is what the hosted index.html needs to know of the build.
type hostedPage struct {
	Version, Worker, Wasm, Integrity string

	Files map[string][]byte // scripts and styles of the page, by name
}

// The source page loads its script and style by these addresses; the build
// replaces them.
var (
	styleLink  = regexp.MustCompile(`(?m)^\s*<link rel="stylesheet" href="([^"]+)">\n`)
	scriptTag  = regexp.MustCompile(`(?m)^\s*<script type="module" src="([^"]+)"></script>\n`)
	engineLink = regexp.MustCompile(`(?m)^\s*<meta id="engine"[^>]*>\n`)
	hostedOnly = regexp.MustCompile(`(?m)^\s*<(?:link rel="(?:manifest|icon|apple-touch-icon)"|meta name="hosted")[^>]*>\n`)
	mainBody   = regexp.MustCompile(`(?s)<main[^>]*>(.*)</main>`)
)

func sourcePage() (string, error) {
	data, err := os.ReadFile("site/index.html")
	if err != nil {
		return "", err
	}
	text := string(data)
	for name, pattern := range map[string]*regexp.Regexp{"style sheet": styleLink, "module script": scriptTag, "engine mark": engineLink} {
		if !pattern.MatchString(text) {
			return "", fmt.Errorf("site/index.html has no %s line", name)
		}
	}
	return text, nil
}

func writeHosted(out string, page hostedPage) error {
	text, err := sourcePage()
	if err != nil {
		return err
	}
	prefix := "/v/" + page.Version + "/"
	style, script := styleLink.FindStringSubmatch(text)[1], scriptTag.FindStringSubmatch(text)[1]
	imported, err := importsOf(page.Files, script)
	if err != nil {
		return err
	}
	text = styleLink.ReplaceAllString(text, fmt.Sprintf("  <link rel=\"stylesheet\" href=\"%s%s\">\n", prefix, style))
	tags := fmt.Sprintf("  <script type=\"module\" src=\"%s%s\"></script>\n", prefix, script)
	for _, name := range imported { // fetched beside the script instead of after it
		tags += fmt.Sprintf("  <link rel=\"modulepreload\" href=\"%s%s\">\n", prefix, name)
	}
	text = scriptTag.ReplaceAllString(text, tags)
	text = engineLink.ReplaceAllString(text, fmt.Sprintf("  <meta id=\"engine\" data-worker=\"%s\" data-wasm=\"%s\" data-integrity=\"%s\" data-version=\"%s\">\n",
		page.Worker, page.Wasm, page.Integrity, page.Version))
	parts := [][]byte{[]byte(text), page.Files[style], page.Files[script]}
	for _, name := range imported {
		parts = append(parts, page.Files[name])
	}
	size, err := firstPaint(parts...)
	if err != nil {
		return err
	}
	if size > mostFirstPaint {
		return fmt.Errorf("the first paint takes %d bytes, more than %d: load something when it is first used", size, mostFirstPaint)
	}
	return write(filepath.Join(out, "index.html"), []byte(text))
}

// writeSavedCopy bundles the same modules into one inline script and the same
// styles into one inline style, each admitted by its hash, and carries worker
// and engine as data.
func writeSavedCopy(out string, engine, worker []byte) error {
	text, err := sourcePage()
	if err != nil {
		return err
	}
	script, err := bundle("site/"+scriptTag.FindStringSubmatch(text)[1], api.FormatIIFE)
	if err != nil {
		return err
	}
	style, err := bundle("site/"+styleLink.FindStringSubmatch(text)[1], api.FormatDefault)
	if err != nil {
		return err
	}
	help, err := os.ReadFile("site/docs/help.html")
	if err != nil {
		return err
	}
	packed, err := pack(engine)
	if err != nil {
		return err
	}
	script, style = inlineSafe(script), inlineSafe(style)
	policy := strings.Join([]string{
		"default-src 'none'",
		"script-src '" + integrity(script) + "' 'wasm-unsafe-eval'",
		"worker-src blob:",
		"style-src '" + integrity(style) + "'",
		"img-src blob: data:",
		"connect-src 'none'",
		"base-uri 'none'",
		"form-action 'none'",
		"require-trusted-types-for 'script'",
		"trusted-types app",
	}, "; ")
	text = styleLink.ReplaceAllLiteralString(text, "<style>"+string(style)+"</style>\n")
	text = hostedOnly.ReplaceAllString(text, "")
	text = engineLink.ReplaceAllString(text, "")
	text = scriptTag.ReplaceAllString(text, "")
	meta := `<meta http-equiv="Content-Security-Policy" content="` + html.EscapeString(policy) + `">`
	text = strings.Replace(text, "<head>\n", "<head>\n<meta charset=\"utf-8\">\n"+meta+"\n", 1)
	body := mainBody.FindSubmatch(help)
	if body == nil {
		return fmt.Errorf("site/docs/help.html has no main element")
	}
	var tail bytes.Buffer
	fmt.Fprintf(&tail, "<template id=\"help-text\">%s</template>\n", body[1])
	fmt.Fprintf(&tail, "<script type=\"text/plain\" id=\"worker-source\">%s</script>\n", inlineSafe(worker))
	fmt.Fprintf(&tail, "<script type=\"application/wasm;base95\" id=\"engine-bytes\" data-length=\"%d\">%s</script>\n", len(packed), base95(packed))
	fmt.Fprintf(&tail, "<script>%s</script>\n", script)
	text = strings.Replace(text, "</body>", tail.String()+"</body>", 1)
	return write(filepath.Join(out, "sheenlay.html"), []byte(text))
}

// pageFile is one file of the hosted page, named from the page's folder.
type pageFile struct {
	name string
	data []byte
}

// pageFiles returns the scripts and styles of the hosted page: the modules that
// the first view needs as one, those fetched when first used as chunks of their
// own, without comments and blanks.
func pageFiles() ([]pageFile, error) {
	root, err := filepath.Abs("site")
	if err != nil {
		return nil, err
	}
	text, err := sourcePage()
	if err != nil {
		return nil, err
	}
	entries := []string{filepath.Join(root, scriptTag.FindStringSubmatch(text)[1]), filepath.Join(root, styleLink.FindStringSubmatch(text)[1])}
	result := api.Build(api.BuildOptions{
		EntryPoints: entries, Bundle: true, Splitting: true, Format: api.FormatESModule,
		Outbase: root, Outdir: root, EntryNames: "[dir]/[name]", ChunkNames: "js/[name]-[hash]",
		MinifyWhitespace: true, MinifySyntax: true, MinifyIdentifiers: true, Charset: api.CharsetUTF8,
		Target: api.ES2022, LegalComments: api.LegalCommentsNone,
	})
	for _, message := range result.Errors {
		return nil, fmt.Errorf("bundle the page: %s", message.Text)
	}
	var files []pageFile
	for _, out := range result.OutputFiles {
		name, err := filepath.Rel(root, out.Path)
		if err != nil {
			return nil, err
		}
		files = append(files, pageFile{filepath.ToSlash(name), out.Contents})
	}
	sort.Slice(files, func(i, j int) bool { return files[i].name < files[j].name })
	return files, nil
}

func bundle(entry string, format api.Format) ([]byte, error) {
	result := api.Build(api.BuildOptions{
		EntryPoints: []string{entry}, Bundle: true, Format: format,
		MinifyWhitespace: true, MinifySyntax: true, Charset: api.CharsetUTF8,
		MinifyIdentifiers: true, Target: api.ES2022, LegalComments: api.LegalCommentsNone,
		Loader: map[string]api.Loader{".svg": api.LoaderDataURL, ".woff2": api.LoaderDataURL},
	})
	for _, message := range result.Errors {
		return nil, fmt.Errorf("bundle %s: %s", entry, message.Text)
	}
	return result.OutputFiles[0].Contents, nil
}

// inlineSafe keeps text from ending the element that holds it.
func inlineSafe(text []byte) []byte {
	text = bytes.ReplaceAll(text, []byte("</script"), []byte(`<\/script`))
	return bytes.ReplaceAll(text, []byte("</style"), []byte(`<\/style`))
}

func integrity(text []byte) string {
	return "sha256-" + base64.StdEncoding.EncodeToString(hash(text))
}

func pack(data []byte) ([]byte, error) {
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return packed.Bytes(), nil
}

// digits95 are the characters of ASCII that a script element keeps as they are:
// all that are printed but "<", which could end it, with the blank and the end
// of a line. site/js/engine-source.js has the twin.
const digits95 = "\n !\"#$%&'()*+,-./0123456789:;=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~"

// Two digits stand for thirteen bits, or for fourteen where the lower thirteen
// are below what 95² leaves over.
const (
	pairBits = 13
	pairOver = 95*95 - 1<<pairBits
)

// base95 writes bytes, the lowest bits first, as pairs of digits, the higher one
// first: 9 % shorter than base64. How many bytes there are is not written.
func base95(data []byte) string {
	out := make([]byte, 0, 2+2*(8*len(data)/pairBits))
	held, count := 0, 0
	pair := func() {
		bits := pairBits
		if held&(1<<pairBits-1) < pairOver {
			bits++
		}
		v := held & (1<<bits - 1)
		out = append(out, digits95[v/95], digits95[v%95])
		held, count = held>>bits, count-bits
	}
	for _, b := range data {
		held, count = held|int(b)<<count, count+8
		if count > pairBits {
			pair()
		}
	}
	for count > 0 {
		pair()
	}
	return string(out)
}
