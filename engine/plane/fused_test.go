//go:build !js

package plane_test

import (
	"os"
	"os/exec"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fused are the instructions of arm64 that round a product and a sum together.
var fused = regexp.MustCompile(`\t(FMADDD|FMSUBD|FNMADDD|FNMSUBD)\t`)

// TestNoFusedProducts: compiled for a machine that can multiply and add in one
// step these packages do not, so that the same input gives the same bits
// everywhere. The conversions to float64 in their sources see to that (The Go
// Programming Language Specification, "Floating-point operators").
func TestNoFusedProducts(t *testing.T) {
	listing := func(arguments ...string) string {
		cmd := exec.Command("go", append([]string{"build", "-gcflags=-S", "-o", os.DevNull}, arguments...)...)
		cmd.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		return string(out)
	}
	for _, name := range []string{"sheenlay/engine/plane", "sheenlay/engine/strand"} {
		text := listing(name)
		require.Contains(t, text, "STEXT", "%s was listed", name)
		assert.Empty(t, fused.FindAllString(text, -1), name)
	}
	// A product that nothing guards is seen.
	file := t.TempDir() + "/bare.go"
	require.NoError(t, os.WriteFile(file, []byte("package bare\n\nfunc Sum(a, b, c float64) float64 { return a*b + c }\n"), 0o600))
	assert.NotEmpty(t, fused.FindAllString(listing(file), -1))
}
