package layers_test

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/layers"
)

func TestShapes(t *testing.T) {
	for _, s := range shapes {
		for _, where := range []int{0, 1, 2} {
			for _, absolute := range []bool{false, true} {
				s := s
				s.where, s.absolute = where, absolute
				t.Run(fmt.Sprintf("%s/where=%d absolute=%v", s.name, where, absolute), func(t *testing.T) {
					f := build(s)
					r := layers.Find(f.data, layers.Options{})
					require.False(t, r.NeedsChoice, "%+v", r)
					require.GreaterOrEqual(t, len(r.Layers), 2)
					got := []int{r.Layers[0].Line, r.Layers[1].Line}
					assert.Equal(t, f.lines[:2], got, "%+v", r)
				})
			}
		}
	}
}

// mutate returns the file with something changed that must not change the
// answer, and the boundaries after the change.
func mutate(random *rand.Rand, f file) (file, string) {
	lines := strings.SplitAfter(string(f.data), "\n")
	truth := append([]int(nil), f.lines...)
	switch random.Intn(3) {
	case 0: // unrelated comments
		for range 1 + random.Intn(8) {
			at := random.Intn(len(lines))
			if at+1 == truth[0] || at+1 == truth[1] {
				continue // a comment at the cut itself may belong to either side
			}
			note := []string{"; harbour library\n", ";KIND:solid\n", "; shelf tag 12\n", ";\n", "; 7\n", "; lamp panel, width 0.45\n"}[random.Intn(6)]
			lines = append(lines[:at], append([]string{note}, lines[at:]...)...)
			for i, line := range truth {
				if at+1 <= line {
					truth[i] = line + 1
				}
			}
		}
		return file{[]byte(strings.Join(lines, "")), truth}, "comments"
	case 1: // CR LF
		text := strings.ReplaceAll(strings.ReplaceAll(string(f.data), "\r\n", "\n"), "\n", "\r\n")
		return file{[]byte(text), truth}, "CR LF"
	}
	for i, l := range lines { // blanks and case of comments
		if strings.HasPrefix(l, ";") {
			lines[i] = ";  " + strings.ToLower(l[1:])
		}
	}
	return file{[]byte(strings.Join(lines, "")), truth}, "blanks and case"
}

func TestChangesThatDoNotMatter(t *testing.T) {
	n := 3000
	if testing.Short() {
		n = 300
	}
	wrong, asked := 0, 0
	for seed := range n {
		random := rand.New(rand.NewSource(int64(seed)))
		s := shapes[random.Intn(len(shapes))]
		s.where, s.absolute, s.hop, s.labels = random.Intn(3), random.Intn(2) == 0, random.Intn(2) == 0, random.Intn(2) == 0
		s.layers = 2 + random.Intn(9)
		if random.Intn(3) == 0 && s.prime == 0 {
			s.prime = []float64{0.2, 0.25, 0.3}[random.Intn(3)]
		}
		f, change := mutate(random, build(s))
		r := layers.Find(f.data, layers.Options{})
		switch {
		case r.NeedsChoice:
			asked++
			t.Logf("asked: %s, %s, seed %d, %d layers, where %d, prime %v: %+v", s.name, change, seed, s.layers, s.where, s.prime, r.Why)
		case len(r.Layers) < 2 || r.Layers[0].Line != f.lines[0] || r.Layers[1].Line != f.lines[1]:
			wrong++
			t.Errorf("wrong: %s, %s, seed %d, %d layers, where %d, prime %v: want %v, got %+v", s.name, change, seed, s.layers, s.where, s.prime, f.lines[:2], r)
		}
	}
	t.Logf("%d files, %d wrong, %d asked", n, wrong, asked)
	assert.LessOrEqual(t, asked*50, n, "at most 2 %% asked")
}
