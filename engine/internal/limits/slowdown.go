//go:build !race && !js

package limits

const slowdown = 1
