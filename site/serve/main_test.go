package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// served is a small site behind the headers of netlify.toml.
func served(t *testing.T) http.Handler {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		"index.html": "<p>bench</p>", "sw.js": "//", "sheenlay.html": "<p>copy</p>", "manifest.webmanifest": "{}",
		"v/0123/js/main.js": "//", "v/0123/style/base.css": "p{}", "engine/0123/worker.js": "//", "engine/0123/engine.wasm": "\x00asm",
		"docs/help.html": "<p>help</p>", "icons/mark-192.png": "\x89PNG",
	} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	var c config
	_, err := toml.DecodeFile("../../netlify.toml", &c)
	require.NoError(t, err)
	return handler(dir, c)
}

func get(h http.Handler, method, path string, headers map[string]string) *http.Response {
	request := httptest.NewRequest(method, "http://localhost"+path, nil)
	for name, value := range headers {
		request.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, request)
	return w.Result()
}

// The policies as they are meant: a change of netlify.toml must be made here too.
const (
	pagePolicy   = "default-src 'none'; script-src 'self'; worker-src 'self'; style-src 'self'; img-src 'self' blob: data:; manifest-src 'self'; connect-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types app"
	docsPolicy   = "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"
	workerPolicy = "default-src 'none'; script-src 'wasm-unsafe-eval'; connect-src 'self'; require-trusted-types-for 'script'; trusted-types 'none'"
	swPolicy     = "default-src 'none'; connect-src 'self'; require-trusted-types-for 'script'; trusted-types 'none'"

	mayChange = "no-cache"
	keptLong  = "public, max-age=31536000, immutable"
)

func TestHeadersOfEveryPath(t *testing.T) {
	h := served(t)
	for _, row := range []struct{ path, kind, policy, caching string }{
		{"/", "text/html; charset=utf-8", pagePolicy, mayChange},
		{"/index.html", "text/html; charset=utf-8", pagePolicy, mayChange},
		{"/sw.js", "text/javascript; charset=utf-8", swPolicy, mayChange},
		{"/engine/0123/worker.js", "text/javascript; charset=utf-8", workerPolicy, keptLong},
		{"/engine/0123/engine.wasm", "application/wasm", workerPolicy, keptLong},
		{"/v/0123/js/main.js", "text/javascript; charset=utf-8", "", keptLong},
		{"/v/0123/style/base.css", "text/css; charset=utf-8", "", keptLong},
		{"/docs/help.html", "text/html; charset=utf-8", docsPolicy, mayChange},
		{"/sheenlay.html", "text/html; charset=utf-8", "", mayChange},
		{"/manifest.webmanifest", "application/manifest+json", "", ""},
		{"/icons/mark-192.png", "image/png", "", ""},
	} {
		t.Run(row.path, func(t *testing.T) {
			r := get(h, http.MethodGet, row.path, nil)
			assert.Equal(t, http.StatusOK, r.StatusCode)
			want := map[string]string{
				"Content-Type": row.kind, "Content-Security-Policy": row.policy, "Cache-Control": row.caching,
				"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
				"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Embedder-Policy": "require-corp",
			}
			for name, value := range want {
				assert.Equal(t, value, r.Header.Get(name), name)
				assert.LessOrEqual(t, len(r.Header.Values(name)), 1, "%s once", name)
			}
			for _, feature := range []string{"camera", "microphone", "geolocation", "usb", "serial", "display-capture"} {
				assert.Contains(t, r.Header.Get("Permissions-Policy"), feature+"=()")
			}
		})
	}
	assert.Equal(t, `attachment; filename="sheenlay.html"`, get(h, http.MethodGet, "/sheenlay.html", nil).Header.Get("Content-Disposition"))
}

// TestOnePolicyForEachPath holds that no path gets a policy from two rules: a
// host may join them, and both would then be enforced.
func TestOnePolicyForEachPath(t *testing.T) {
	var c config
	_, err := toml.DecodeFile("../../netlify.toml", &c)
	require.NoError(t, err)
	for _, path := range []string{"/", "/index.html", "/sw.js", "/engine/0/worker.js", "/v/0/js/main.js", "/docs/help.html", "/sheenlay.html", "/elsewhere"} {
		for _, name := range []string{"Content-Security-Policy", "Cache-Control"} {
			rules := 0
			for _, rule := range c.Headers {
				if _, ok := rule.Values[name]; ok && rule.matches(path) {
					rules++
				}
			}
			assert.LessOrEqual(t, rules, 1, "%s of %s", name, path)
		}
	}
}

func TestRuleMatches(t *testing.T) {
	for _, row := range []struct {
		rule, path string
		want       bool
	}{
		{"/", "/", true}, {"/", "/index.html", false}, {"/*", "/", true}, {"/*", "/a/b", true},
		{"/v/*", "/v/0/a.js", true}, {"/v/*", "/vault", false}, {"/sw.js", "/sw.js", true}, {"/sw.js", "/sw.js.map", false},
	} {
		assert.Equal(t, row.want, rule{For: row.rule}.matches(row.path), "%s for %s", row.rule, row.path)
	}
}

func TestRefusals(t *testing.T) {
	h := served(t)
	for _, row := range []struct {
		method, path string
		status       int
	}{
		{http.MethodPost, "/", http.StatusMethodNotAllowed},
		{http.MethodGet, "/nothing-here", http.StatusNotFound},
		{http.MethodGet, "/../../../../etc/passwd", http.StatusNotFound},
		{http.MethodGet, "/v/", http.StatusNotFound},
		{http.MethodHead, "/", http.StatusOK},
	} {
		r := get(h, row.method, row.path, nil)
		assert.Equal(t, row.status, r.StatusCode, "%s %s", row.method, row.path)
	}
	body, err := io.ReadAll(get(h, http.MethodHead, "/", nil).Body)
	require.NoError(t, err)
	assert.Empty(t, body)
}

func TestPackedOnTheWay(t *testing.T) {
	h := served(t)
	for range 2 { // packed, and kept
		r := get(h, http.MethodGet, "/", map[string]string{"Accept-Encoding": "gzip"})
		assert.Equal(t, "gzip", r.Header.Get("Content-Encoding"))
		assert.Equal(t, "Accept-Encoding", r.Header.Get("Vary"))
		packed, err := io.ReadAll(r.Body)
		require.NoError(t, err)
		unpacked, err := gzip.NewReader(bytes.NewReader(packed))
		require.NoError(t, err)
		text, err := io.ReadAll(unpacked)
		require.NoError(t, err)
		assert.Equal(t, "<p>bench</p>", string(text))
	}
	assert.Empty(t, get(h, http.MethodGet, "/icons/mark-192.png", map[string]string{"Accept-Encoding": "gzip"}).Header.Get("Content-Encoding"), "pictures are packed already")
}
