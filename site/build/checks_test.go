package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestShellChecksSeeFaults runs the checks of `make check` over small trees, sound
// ones and ones with one fault each.
func TestShellChecksSeeFaults(t *testing.T) {
	sound := map[string]string{
		"README.md":           "See [help](site/docs/help.html#start) and [licence](LICENSE).\n",
		"LICENSE":             "MIT\n",
		"site/docs/help.html": `<h2 id="start">Start</h2><a href="#start">up</a><a href="https://example.org/gone">web</a>`,
		"site/index.html":     `<script type="module" src="js/main.js"></script>`,
		"site/worker.js":      "fetch('engine.wasm');\n",
		"site/sw.js":          "self.addEventListener('fetch', () => {});\n",
		"site/js/main.js":     "export const text = (e, s) => { e.textContent = s; };\n",
		"site/build/main.go":  "package main\n",
	}
	for _, c := range []struct{ name, script, file, content, says string }{
		{"sound", "check-links.sh", "", "", ""},
		{"sound", "forbidden.sh", "", "", ""},
		{"file that is not there", "check-links.sh", "README.md", "[gone](site/docs/gone.md)\n", "README.md: site/docs/gone.md"},
		{"id that is not there", "check-links.sh", "README.md", "[gone](site/docs/help.html#gone)\n", "help.html#gone"},
		{"id of the same page", "check-links.sh", "site/docs/help.html", `<a href="#gone">x</a>`, "#gone"},
		{"markup from text", "forbidden.sh", "site/js/main.js", "e.innerHTML = s;\n", "innerHTML"},
		{"an address", "forbidden.sh", "site/js/main.js", "const a = 'https://example.org/';\n", "example.org"},
		{"the page fetches", "forbidden.sh", "site/js/main.js", "fetch('x');\n", "Only the worker may fetch"},
		{"a socket", "forbidden.sh", "site/worker.js", "new WebSocket('x');\n", "WebSocket"},
	} {
		root := t.TempDir()
		script, err := os.ReadFile(filepath.Join("..", "test", c.script))
		require.NoError(t, err)
		put := func(name, content string) {
			require.NoError(t, os.MkdirAll(filepath.Join(root, filepath.Dir(name)), 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(root, name), []byte(content), 0o644))
		}
		for name, content := range sound {
			put(name, content)
		}
		if c.file != "" {
			put(c.file, c.content)
		}
		put("site/test/"+c.script, string(script))
		out, err := exec.Command("sh", filepath.Join(root, "site", "test", c.script)).CombinedOutput()
		if c.says == "" {
			assert.NoError(t, err, "%s, %s: %s", c.script, c.name, out)
			continue
		}
		assert.Error(t, err, "%s, %s", c.script, c.name)
		assert.Contains(t, string(out), c.says, "%s, %s", c.script, c.name)
	}
}
