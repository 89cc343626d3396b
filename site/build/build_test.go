package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"html"
	"io"
	"io/fs"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain91 reads base91 with the exact arithmetic of big numbers: the whole text
// but its first digit is one number, pair by pair in base 2^13.
func plain91(t *testing.T, text string) []byte {
	t.Helper()
	number, bits := new(big.Int), 0
	for at := 1; at < len(text); at += 2 {
		v := 91*strings.IndexByte(digits91, text[at]) + strings.IndexByte(digits91, text[at+1])
		require.Less(t, v, 1<<13, "pair %q", text[at:at+2])
		number.Or(number.Lsh(number, 13), big.NewInt(int64(v)))
		bits += 13
	}
	padding := strings.IndexByte(digits91, text[0])
	require.Zero(t, (bits-padding)%8)
	return number.Rsh(number, uint(padding)).FillBytes(make([]byte, (bits-padding)/8))
}

// The digits are those of no published base91, whose alphabet holds characters
// that mean something in HTML; the packing of thirteen bits in two is the usual
// one, held against big numbers.
func TestBase91KeepsEveryByte(t *testing.T) {
	assert.Len(t, digits91, 91)
	for _, c := range digits91 {
		assert.Equal(t, 1, strings.Count(digits91, string(c)), "digit %q", c)
		assert.NotContains(t, `<&"`, string(c), "a digit that means something in HTML")
	}
	assert.Equal(t, "!", base91(nil))
	random := rand.New(rand.NewPCG(91, 1))
	for size := range 70 {
		data := make([]byte, size)
		for i := range data {
			data[i] = byte(random.Uint32())
		}
		if size%3 == 0 {
			clear(data)
		} else if size%3 == 1 {
			for i := range data {
				data[i] = 0xff
			}
		}
		text := base91(data)
		require.Len(t, text, 1+2*((8*size+12)/13), "size %d", size)
		assert.Equal(t, data, plain91(t, text), "size %d", size)
	}
}

func TestPackedIsGzipInBase91(t *testing.T) {
	text, err := pack([]byte("reading day"))
	require.NoError(t, err)
	r, err := gzip.NewReader(bytes.NewReader(plain91(t, text)))
	require.NoError(t, err)
	r.Multistream(false)
	plain, err := io.ReadAll(r)
	require.NoError(t, err)
	assert.Equal(t, "reading day", string(plain))
}

func TestInlineTextCannotEndItsElement(t *testing.T) {
	for _, row := range [][2]string{
		{"", ""}, {"a < b", "a < b"}, {`"</script>"`, `"<\/script>"`}, {"</style><script>", `<\/style><script>`},
	} {
		assert.Equal(t, row[1], string(inlineSafe([]byte(row[0]))))
	}
}

func TestShortHashTellsWherePartsEnd(t *testing.T) {
	assert.NotEqual(t, shortHash([]byte("ab"), []byte("c")), shortHash([]byte("a"), []byte("bc")))
	assert.Len(t, shortHash(), 12)
}

// TestIntegrity is the example of the W3C text Content Security Policy Level 2,
// "Hash usage for script elements".
func TestIntegrity(t *testing.T) {
	assert.Equal(t, "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=", integrity([]byte("alert('Hello, world.');")))
}

// siteBuilt builds the whole site once into a folder of the test.
func siteBuilt(t *testing.T) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "dist")
	require.NoError(t, build(out))
	return out
}

// A full address leads to another host, unless it only names a format or stands
// in a remark of Go's loader.
var foreign = regexp.MustCompile(`(?i)\b(?:https?|wss?)://[^\s"'<>)]+`)

var namesOnly = regexp.MustCompile(`^(?:http://www\.w3\.org/\d{4}/|https://github\.com/golang/go/issues/)`)

func TestBuiltSite(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles the engine; runs without -short")
	}
	t.Chdir("../..")
	out := siteBuilt(t)
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join(out, name))
		require.NoError(t, err)
		return string(data)
	}
	var names []string
	require.NoError(t, filepath.WalkDir(out, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() {
			name, _ := filepath.Rel(out, path)
			names = append(names, filepath.ToSlash(name))
		}
		return err
	}))

	t.Run("the saved copy admits exactly its own script and style", func(t *testing.T) {
		copied := read("sheenlay.html")
		assert.LessOrEqual(t, len(copied), 4_000_000)
		policy := html.UnescapeString(regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]+)"`).FindStringSubmatch(copied)[1])
		script := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(copied, -1)
		style := regexp.MustCompile(`(?s)<style>(.*?)</style>`).FindAllStringSubmatch(copied, -1)
		require.Len(t, script, 1)
		require.Len(t, style, 1)
		assert.Contains(t, policy, "script-src '"+integrity([]byte(script[0][1]))+"' 'wasm-unsafe-eval';")
		assert.Contains(t, policy, "style-src '"+integrity([]byte(style[0][1]))+"';")
		assert.NotContains(t, policy, "unsafe-inline")
		assert.NotContains(t, policy, "'self'")
		assert.NotRegexp(t, `<[a-z]+[^>]*\son[a-z]+=`, copied[:strings.Index(copied, `id="worker-source"`)], "no handler in an attribute")
	})
	t.Run("the hosted page loads by hash what is there, and the engine by its integrity", func(t *testing.T) {
		page := read("index.html")
		for _, address := range regexp.MustCompile(`(?:href|src|data-worker|data-wasm)="(/[^"#]+)"`).FindAllStringSubmatch(page, -1) {
			assert.Contains(t, names, strings.TrimPrefix(address[1], "/"))
		}
		wasm := regexp.MustCompile(`data-wasm="/([^"]+)" data-integrity="([^"]+)"`).FindStringSubmatch(page)
		require.NotNil(t, wasm)
		assert.Equal(t, integrity([]byte(read(wasm[1]))), wasm[2])
		assert.NotRegexp(t, `<script(?:>| [^>]*[^"/a-z]>)|style="|<style`, page, "nothing inline")
	})
	t.Run("the first paint fits its bound with every script that is imported at once", func(t *testing.T) { judgeFirstPaint(t, read) })
	t.Run("the service worker keeps every file but itself", func(t *testing.T) {
		text := read("sw.js")
		for _, name := range names {
			want := "\"/" + name + "\","
			switch name {
			case "sw.js":
				continue
			case "index.html":
				want = "\"/\","
			}
			assert.Contains(t, text, want)
		}
		assert.NotContains(t, text, "@")
	})
	t.Run("every linked library stands on the page of licences", func(t *testing.T) {
		page := read("docs/licences.html")
		modules, err := linkedModules()
		require.NoError(t, err)
		assert.NotEmpty(t, modules)
		for _, m := range modules {
			assert.Contains(t, page, html.EscapeString(fmt.Sprintf("%s %s", m.Path, m.Version)))
		}
	})
	t.Run("nothing that is run or shown leads to another host", func(t *testing.T) {
		for _, name := range names {
			switch filepath.Ext(name) {
			case ".html", ".js", ".css", ".svg", ".webmanifest":
			default:
				continue
			}
			if name == "docs/licences.html" { // the words of the licences themselves
				continue
			}
			for _, address := range foreign.FindAllString(read(name), -1) {
				assert.Regexp(t, namesOnly, address, name)
			}
		}
	})
	t.Run("the same sources give the same bytes", func(t *testing.T) {
		again := siteBuilt(t)
		for _, name := range names {
			data, err := os.ReadFile(filepath.Join(again, name))
			require.NoError(t, err)
			assert.True(t, read(name) == string(data), name)
		}
	})
}
