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
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain95 reads base95 by its description, with the exact arithmetic of big
// numbers: all the pairs are one number, each as many bits above the one before.
func plain95(t *testing.T, text string, length int) []byte {
	t.Helper()
	number, bits := new(big.Int), 0
	for at := 0; at < len(text); at += 2 {
		v := 95*strings.IndexByte(digits95, text[at]) + strings.IndexByte(digits95, text[at+1])
		number.Or(number, new(big.Int).Lsh(big.NewInt(int64(v)), uint(bits)))
		bits += 13
		if v%8192 < 833 { // 95² is 8192 + 833
			bits++
		}
	}
	require.GreaterOrEqual(t, bits, 8*length)
	require.Less(t, bits, 8*length+14, "no pair too many")
	data := number.FillBytes(make([]byte, length))
	slices.Reverse(data)
	return data
}

// The digits are those of no published base95; the packing of thirteen or
// fourteen bits in two digits is that of the public-domain basE91, from memory,
// held here against big numbers.
func TestBase95KeepsEveryByte(t *testing.T) {
	assert.Len(t, digits95, 95)
	for _, c := range digits95 {
		assert.Equal(t, 1, strings.Count(digits95, string(c)), "digit %q", c)
		assert.NotContains(t, "<\r\x00", string(c), "a digit that a script element would not keep")
	}
	assert.Empty(t, base95(nil))
	random := rand.New(rand.NewPCG(95, 1))
	for size := range 90 {
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
		text := base95(data)
		require.LessOrEqual(t, len(text), 2*((8*size+12)/13), "size %d", size)
		assert.Equal(t, data, plain95(t, text, size), "size %d", size)
	}
}

func TestPackedIsGzip(t *testing.T) {
	packed, err := pack([]byte("reading day"))
	require.NoError(t, err)
	r, err := gzip.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
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
