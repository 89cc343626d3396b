package piece

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/motion"
	"sheenlay/engine/specimen"
)

// slice is how much a page hands over at once.
const slice = 4 << 20

var errEnough = errors.New("enough")

// pour makes a sliced file of at least size bytes on the fly and hands it on in
// slices until take wants no more; nothing of it is kept.
func pour(t testing.TB, size int64, take func([]byte) bool) {
	t.Helper()
	w := bufio.NewWriterSize(writer(func(b []byte) (int, error) {
		if !take(b) {
			return 0, errEnough
		}
		return len(b), nil
	}), slice)
	_, err := specimen.Large(w, size)
	if err == nil {
		err = w.Flush()
	}
	if err != nil {
		require.ErrorIs(t, err, errEnough)
	}
}

type writer func([]byte) (int, error)

func (w writer) Write(b []byte) (int, error) { return w(b) }

// measured returns the true size of the file that Large makes for a size: it
// makes whole layers, and as many for the true size.
func measured(t testing.TB, size int64) (bytes int64) {
	pour(t, size, func(b []byte) bool {
		bytes += int64(len(b))
		return true
	})
	return bytes
}

// memory is the most that the heap has held in use, looked at slice by slice.
type memory struct{ most uint64 }

func (m *memory) look() {
	var s runtime.MemStats
	runtime.ReadMemStats(&s)
	m.most = max(m.most, s.HeapInuse+s.StackInuse)
}

func (m *memory) megabytes() float64 { return float64(m.most) / 1e6 }

// open reads a file as a page does: the head first, then the whole again for
// its survey.
func open(t testing.TB, size int64, m *memory) (*Piece, Surveyed) {
	t.Helper()
	r := NewReader(Options{Name: "large plate", Size: size})
	pour(t, size, func(b []byte) bool {
		more := r.Feed(b)
		m.look()
		return more
	})
	p := r.Finish(context.Background())
	require.True(t, p.Settled(), "%v", p.Findings)
	s := NewSurvey(p, motion.DefaultLimits())
	pour(t, size, func(b []byte) bool {
		more := s.Feed(b)
		m.look()
		return more
	})
	return p, s.Finish()
}

// A file of any size is opened and surveyed within 100 MB, and ten of them one
// after another take no more than one. 64 MB and ten of 8 MB; with
// SHEENLAY_LONG 1 GB and ten of 256 MB.
func TestLargeFilesInBoundedMemory(t *testing.T) {
	large, several := int64(64<<20), int64(8<<20)
	switch {
	case os.Getenv("SHEENLAY_LONG") != "":
		large, several = 1<<30, 256<<20
	case testing.Short():
		large, several = 16<<20, 6<<20
	}
	const most = 100.0 // MB, with the making of the file
	size := measured(t, large)
	var m memory
	p, found := open(t, size, &m)
	t.Logf("%d MB: answered after %.1f MB, %d layers, at most %.0f MB in use", size>>20, float64(p.Found.BytesRead)/1e6, found.Layers, m.megabytes())
	assert.Less(t, m.megabytes(), most)
	assert.Less(t, p.Found.BytesRead, int64(10<<20), "the first answer does not wait for the file")
	assert.Equal(t, size, found.Bytes)
	assert.True(t, found.Timed)
	assert.Zero(t, found.Restarts)

	size = measured(t, several)
	var after []float64
	for range 10 {
		var one memory
		_, found = open(t, size, &one)
		runtime.GC()
		var s runtime.MemStats
		runtime.ReadMemStats(&s)
		after = append(after, float64(s.HeapAlloc)/1e6)
		assert.Less(t, one.megabytes(), most)
	}
	t.Logf("ten of %d MB: alive after each, MB: %.1f", size>>20, after)
	const noise = 2.0 // MB: pools and tables that come once
	assert.InDelta(t, after[1], after[9], noise, "ten files take no more than two")
}

// The marker counts the layers of a made file: as many as it has.
func TestSurveyOfALargeFileCountsItsMarkers(t *testing.T) {
	var file bytes.Buffer
	_, err := specimen.Large(&file, 3<<20)
	require.NoError(t, err)
	var m memory
	_, found := open(t, int64(file.Len()), &m)
	assert.Equal(t, bytes.Count(file.Bytes(), []byte("\n;LAYER:")), found.Layers)
}

// Where no line marks layers, a survey that follows every move counts them on
// its way: as many, at the same places, as one that only counts.
func TestSurveyByMaterialReadsOnce(t *testing.T) {
	var file bytes.Buffer
	_, err := specimen.Large(&file, 3<<20)
	require.NoError(t, err)
	files := [][]byte{withoutMarkers(file.Bytes())}
	for _, s := range specimen.Samples() {
		files = append(files, withoutMarkers(specimen.Make(s.Options).Bytes))
	}
	unmarked := 0
	for i, data := range files {
		p := fed(data, Options{}, func() int { return slice })
		if !p.Settled() || p.Found.Marker != "" {
			continue
		}
		unmarked++
		full, skim := NewSurvey(p, motion.DefaultLimits()), NewSkim(p)
		for from := 0; from < len(data); from += 1777 {
			part := data[from:min(from+1777, len(data))]
			assert.Equal(t, skim.Feed(part), full.Feed(part))
		}
		a, b := full.Finish(), skim.Finish()
		assert.Equal(t, skim.count.Offsets, full.count.Offsets, "file %d", i)
		assert.Equal(t, [4]any{b.Layers, b.Bytes, b.Restarts, b.HeightMM}, [4]any{a.Layers, a.Bytes, a.Restarts, a.HeightMM})
		assert.Positive(t, a.Layers)
	}
	assert.Greater(t, unmarked, 2)
}

// BenchmarkFirstAnswer is the time from the first byte to boundaries, height
// and bead, in slices as a page reads them, of a file made beforehand.
func BenchmarkFirstAnswer(b *testing.B) {
	var file bytes.Buffer
	_, err := specimen.Large(&file, 24<<20)
	require.NoError(b, err)
	for _, size := range []int64{24 << 20, 1 << 30} {
		b.Run(fmt.Sprintf("MB=%d", size>>20), func(b *testing.B) {
			var read int64
			for b.Loop() {
				r := NewReader(Options{Name: "large plate", Size: size})
				for from := 0; from < file.Len(); from += slice {
					if !r.Feed(file.Bytes()[from:min(from+slice, file.Len())]) {
						break
					}
				}
				read = r.Finish(context.Background()).Found.BytesRead
			}
			b.ReportMetric(float64(read)/1e6, "MB-read")
		})
	}
}

// BenchmarkLargeFile reads a whole made file in the ways a page does, MB/s
// without its making: to skim it, to follow it for its time, and to count the
// layers of one without marker lines.
func BenchmarkLargeFile(b *testing.B) {
	for _, size := range []int64{16 << 20, 64 << 20} {
		var file bytes.Buffer
		_, err := specimen.Large(&file, size)
		require.NoError(b, err)
		data := file.Bytes()
		bare := withoutMarkers(data)
		for _, c := range []struct {
			name string
			data []byte
			read func(*Piece) interface{ Feed([]byte) bool }
		}{
			{"skim", data, func(p *Piece) interface{ Feed([]byte) bool } { return NewSkim(p) }},
			{"follow", data, func(p *Piece) interface{ Feed([]byte) bool } { return NewSurvey(p, motion.DefaultLimits()) }},
			{"follow by material", bare, func(p *Piece) interface{ Feed([]byte) bool } { return NewSurvey(p, motion.DefaultLimits()) }},
			{"by material", bare, func(p *Piece) interface{ Feed([]byte) bool } { return NewSkim(p) }},
		} {
			b.Run(fmt.Sprintf("%s/MB=%d", c.name, size>>20), func(b *testing.B) {
				p := fed(c.data, Options{}, func() int { return slice })
				require.True(b, p.Settled(), "%v", p.Findings)
				b.SetBytes(int64(len(c.data)))
				b.ReportAllocs()
				for b.Loop() {
					s := c.read(p)
					for from := 0; from < len(c.data); from += slice {
						s.Feed(c.data[from:min(from+slice, len(c.data))])
					}
				}
			})
		}
	}
}

// withoutMarkers drops the lines that mark layers.
func withoutMarkers(data []byte) []byte {
	out := make([]byte, 0, len(data))
	for line := range bytes.Lines(data) {
		if !bytes.HasPrefix(line, []byte(";LAYER")) {
			out = append(out, line...)
		}
	}
	return out
}
