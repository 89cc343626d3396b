// Package quickprint tells slices of a file apart, about as fast as memory is
// read: XXH64, a published hash without a secret (xxHash fast digest algorithm,
// version 0.1.1). It notices a file that changed, not one that somebody forged.
package quickprint

import (
	"encoding/binary"
	"math/bits"
)

// The primes of XXH64. They are variables because their sums are meant to
// overflow, which constants may not.
var (
	prime1 uint64 = 0x9E3779B185EBCA87
	prime2 uint64 = 0xC2B2AE3D27D4EB4F
	prime3 uint64 = 0x165667B19E3779F9
	prime4 uint64 = 0x85EBCA77C2B2AE63
	prime5 uint64 = 0x27D4EB2F165667C5
)

// Of returns the XXH64 of the data with seed 0.
func Of(data []byte) uint64 {
	size := uint64(len(data))
	sum := prime5
	if size >= 32 {
		sum, data = stripes(data)
	}
	sum += size
	for ; len(data) >= 8; data = data[8:] {
		sum = bits.RotateLeft64(sum^round(0, binary.LittleEndian.Uint64(data)), 27)*prime1 + prime4
	}
	if len(data) >= 4 {
		sum = bits.RotateLeft64(sum^uint64(binary.LittleEndian.Uint32(data))*prime1, 23)*prime2 + prime3
		data = data[4:]
	}
	for _, b := range data {
		sum = bits.RotateLeft64(sum^uint64(b)*prime5, 11) * prime1
	}
	sum = (sum ^ sum>>33) * prime2
	sum = (sum ^ sum>>29) * prime3
	return sum ^ sum>>32
}

// stripes takes all whole stripes of 32 bytes and returns what remains.
func stripes(data []byte) (sum uint64, rest []byte) {
	v1, v2, v3, v4 := prime1+prime2, prime2, uint64(0), -prime1
	for ; len(data) >= 32; data = data[32:] {
		v1 = round(v1, binary.LittleEndian.Uint64(data[0:8]))
		v2 = round(v2, binary.LittleEndian.Uint64(data[8:16]))
		v3 = round(v3, binary.LittleEndian.Uint64(data[16:24]))
		v4 = round(v4, binary.LittleEndian.Uint64(data[24:32]))
	}
	sum = bits.RotateLeft64(v1, 1) + bits.RotateLeft64(v2, 7) + bits.RotateLeft64(v3, 12) + bits.RotateLeft64(v4, 18)
	for _, v := range [4]uint64{v1, v2, v3, v4} {
		sum = (sum^round(0, v))*prime1 + prime4
	}
	return sum, data
}

func round(lane, word uint64) uint64 {
	return bits.RotateLeft64(lane+word*prime2, 31) * prime1
}
