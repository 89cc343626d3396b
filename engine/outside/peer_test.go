//go:build !js

package outside_test

import (
	"bufio"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

// This part starts node, which a test under js/wasm cannot do.

// scale multiplies the number of cases: 1 in the ordinary run.
var scale = flag.Int("outside.scale", 1, "so many times the ordinary number of cases")

// peer runs testdata/outside/peers.js.
type peer struct {
	in  io.WriteCloser
	out *bufio.Reader
}

func startPeer(t testing.TB) *peer {
	t.Helper()
	give := func(why string) {
		if os.Getenv("CI") == "true" {
			t.Fatal(why)
		}
		t.Skip(why + ": nothing was compared with the outside libraries")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		give("node is not installed")
	}
	for _, name := range []string{"gcode-toolpath", "clipper2-wasm", "svg-path-properties"} {
		if _, err := os.Stat("../../site/test/node_modules/" + name); err != nil {
			give("the npm package " + name + " is missing, `npm ci` in site/test installs it")
		}
	}
	cmd := exec.Command(node, "../../testdata/outside/peers.js")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = in.Close()
		_ = cmd.Wait()
	})
	return &peer{in: in, out: bufio.NewReaderSize(out, 1<<20)}
}

// ask sends a request and reads the answer's value; the error is the library's.
func (p *peer) ask(t testing.TB, request map[string]any, value any) error {
	t.Helper()
	line, err := json.Marshal(request)
	require.NoError(t, err)
	_, err = p.in.Write(append(line, '\n'))
	require.NoError(t, err)
	line, err = p.out.ReadBytes('\n')
	require.NoError(t, err)
	var answer struct {
		Value json.RawMessage `json:"value"`
		Error string          `json:"error"`
	}
	require.NoError(t, json.Unmarshal(line, &answer))
	if answer.Error != "" {
		return errors.New(answer.Error)
	}
	return json.Unmarshal(answer.Value, value)
}

// number asks for one number.
func (p *peer) number(t testing.TB, request map[string]any) float64 {
	t.Helper()
	var v float64
	require.NoError(t, p.ask(t, request, &v))
	return v
}

func ringsOf(g []plane.Ring) [][][2]float64 {
	out := make([][][2]float64, len(g))
	for i, r := range g {
		for _, p := range r {
			out[i] = append(out[i], [2]float64{p.X, p.Y})
		}
	}
	return out
}

// record is a row of the table in site/docs/outside-checks.md, see TestMain.
func record(t testing.TB, what, against string, cases int, largest float64, unit string) {
	t.Helper()
	row := []string{what, against, grouped(cases), strings.TrimSpace(fmt.Sprintf("%.2g %s", largest, unit))}
	t.Log(strings.Join(row, " | "))
	if !t.Failed() {
		measured = append(measured, row)
	}
}

// grouped writes a number with a comma between thousands.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
