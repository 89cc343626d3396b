package outside_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// page is the file whose table is written anew by a run of all tests.
var page = flag.String("outside.page", "", "write the measured rows into this page")

// measured are the rows of the run, in the order of the tests.
var measured [][]string

// The rows stand between these two lines of the page.
const (
	rowsBegin = "<!-- rows measured by make outside -->\n"
	rowsEnd   = "<!-- end of measured rows -->\n"
)

func TestMain(m *testing.M) {
	code := m.Run()
	if code == 0 && *page != "" {
		if err := writePage(*page, measured); err != nil {
			fmt.Fprintln(os.Stderr, "outside:", err)
			code = 1
		}
	}
	os.Exit(code)
}

// writePage puts rows into the page, with the day and the machine.
func writePage(name string, rows [][]string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	text, err = withRows(text, rows, fmt.Sprintf("%s on %s/%s with %s", time.Now().UTC().Format("2006-01-02"), runtime.GOOS, runtime.GOARCH, runtime.Version()))
	if err != nil {
		return err
	}
	return os.WriteFile(name, text, 0o644)
}

// withRows returns the page with its measured rows replaced.
func withRows(page []byte, rows [][]string, when string) ([]byte, error) {
	before, rest, begun := bytes.Cut(page, []byte(rowsBegin))
	_, after, ended := bytes.Cut(rest, []byte(rowsEnd))
	if !begun || !ended {
		return nil, errors.New("the page has no place for measured rows")
	}
	if len(rows) == 0 {
		return nil, errors.New("nothing was measured")
	}
	var out bytes.Buffer
	out.Write(before)
	out.WriteString(rowsBegin)
	fmt.Fprintf(&out, "Measured %s.\n\n| what is checked | against | cases | largest difference |\n| --- | --- | --- | --- |\n", when)
	for _, row := range rows {
		fmt.Fprintf(&out, "| %s |\n", strings.Join(row, " | "))
	}
	out.WriteString(rowsEnd)
	out.Write(after)
	return out.Bytes(), nil
}

func TestRowsReplaceRows(t *testing.T) {
	page := []byte("# Checks\n" + rowsBegin + "old\n" + rowsEnd + "rest\n")
	once, err := withRows(page, [][]string{{"a", "b", "1", "2 mm"}}, "now")
	require.NoError(t, err)
	require.Contains(t, string(once), "| a | b | 1 | 2 mm |\n"+rowsEnd+"rest\n")
	require.NotContains(t, string(once), "old")
	twice, err := withRows(once, [][]string{{"a", "b", "1", "2 mm"}}, "now")
	require.NoError(t, err)
	require.Equal(t, string(once), string(twice))
	_, err = withRows([]byte("no place"), [][]string{{"a"}}, "now")
	require.Error(t, err)
	_, err = withRows(page, nil, "now")
	require.Error(t, err)
	own, err := os.ReadFile("../../site/docs/outside-checks.md")
	require.NoError(t, err)
	_, err = withRows(own, [][]string{{"a"}}, "now")
	require.NoError(t, err, "the page itself")
}
