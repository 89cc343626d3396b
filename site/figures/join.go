package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/making"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// joinStage is the whole join, from a file on the disk to a finished file on
// the disk: what is found, filled, written and proved costs as much as the
// first layer, the rest is a copy.
func joinStage() stage {
	return stage{
		name: "join", title: "The whole join, file to finished file",
		about: "A made file on the disk (25 tiles of 18 mm) is read as far as its first layer, laid with the default pattern, proved, and written anew. Beside it the system's own copy of that file. (In the browser the rest is not copied: the finished file is made of slices of the first.)",
		sizes: fileSizes, size: "MB", work: "MB of file", each: "MB/s",
		prepare: func(mb float64) (input, error) {
			from, to, size, err := fileOnDisk(mb)
			return input{size, func() (float64, error) { return joinFile(from, to) }}, err
		},
		peers: []peer{
			{name: "copy of the file", part: "writes the file as it is", most: 256, prepare: func(mb float64) (input, error) {
				from, to, size, err := fileOnDisk(mb)
				return input{size, func() (float64, error) { return 0, copyFile(from, to) }}, err
			}},
			toolpath("only reads the file", 0),
		},
	}
}

// jobStage is the work of a job alone, over the size of its face.
func jobStage() stage {
	return stage{
		name: "job", title: "A whole job over the size of its face",
		about: "A made file of one square plate in memory: read, laid with the default pattern, measured, joined and proved.",
		sizes: faceSizes, size: "mm", work: "m of bead", each: "m/s",
		prepare: func(side float64) (input, error) {
			data := specimen.Make(specimen.Options{Shape: specimen.Rectangle(side, side), At: plane.Point{X: 110, Y: 110}, Walls: 2, Heated: true}).Bytes
			run := func() (float64, error) {
				r := piece.NewReader(piece.Options{Name: "plate", Size: int64(len(data))})
				r.Feed(data)
				made, err := makeOf(r)
				if err != nil {
					return 0, err
				}
				return made.Layers[0].Stats.LengthMM, nil
			}
			way, err := run()
			return input{way / 1000, run}, err
		},
	}
}

func makeOf(r *piece.Reader) (*making.Made, error) {
	made, err := making.Make(context.Background(), r.Finish(context.Background()), job.Default(), false, nil)
	if err != nil {
		return nil, err
	}
	if !made.OK() {
		for _, f := range made.Findings {
			if f.Level == finding.Stop {
				return nil, f
			}
		}
		return nil, fmt.Errorf("the job is not made")
	}
	return made, nil
}

// joinFile returns the finished file's size in bytes.
func joinFile(from, to string) (float64, error) {
	in, err := os.Open(from)
	if err != nil {
		return 0, err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return 0, err
	}
	r := piece.NewReader(piece.Options{Name: "plates", Size: info.Size()})
	chunk := make([]byte, 1<<20)
	for more := true; more; {
		n, err := in.Read(chunk)
		if err != nil && err != io.EOF {
			return 0, err
		}
		more = n > 0 && r.Feed(chunk[:n])
	}
	made, err := makeOf(r)
	if err != nil {
		return 0, err
	}
	out, err := os.Create(to)
	if err != nil {
		return 0, err
	}
	defer out.Close()
	written := int64(0)
	for _, part := range []io.Reader{
		io.NewSectionReader(in, 0, made.Join.HeadLength), bytes.NewReader(made.Block),
	} {
		n, err := io.Copy(out, part)
		if err != nil {
			return 0, err
		}
		written += n
	}
	if _, err := in.Seek(made.Join.TailOffset, io.SeekStart); err != nil {
		return 0, err
	}
	n, err := copyRest(out, in)
	return float64(written + n), err
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	defer out.Close()
	_, err = copyRest(out, in)
	return err
}

// copyRest leaves the copy to the system where it can; under node every read
// crosses into JavaScript, so they are large.
func copyRest(out, in *os.File) (int64, error) {
	if runtime.GOOS != "js" {
		return io.Copy(out, in)
	}
	return io.CopyBuffer(struct{ io.Writer }{out}, struct{ io.Reader }{in}, make([]byte, 4<<20))
}

// fileOnDisk writes a made file into the folder of this run, once a size.
func fileOnDisk(mb float64) (from, to string, size float64, err error) {
	from = filepath.Join(os.TempDir(), fmt.Sprintf("sheenlay-figures-%g.gcode", mb))
	data, err := madeFile(mb)
	if err != nil {
		return "", "", 0, err
	}
	return from, from + ".out", megabytes(data), os.WriteFile(from, data, 0o600)
}
