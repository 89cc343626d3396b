//go:build !js

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"strings"
)

// fingerprintSlice is the size of the slices that are hashed one by one. The
// worker hashes the same slices while it reads, which no browser can do over a
// whole file.
const fingerprintSlice = 4 << 20

// fingerprint returns the SHA-256, in hexadecimal, of the joined hexadecimal
// SHA-256s of the file's slices of 4 MiB (unpacked, if it is packed).
func fingerprint(path string) (string, error) {
	source, _, err := openSource(path)
	if err != nil {
		return "", err
	}
	defer source.Close()
	var all strings.Builder
	slice := make([]byte, fingerprintSlice)
	for {
		n, err := io.ReadFull(source, slice)
		if n > 0 {
			all.WriteString(hexSum(slice[:n]))
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return hexSum([]byte(all.String())), nil
		}
		if err != nil {
			return "", err
		}
	}
}

func hexSum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
