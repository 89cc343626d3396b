package limits

// slowdown is what wasm may cost where the clock counts the machine's other work
// too.
const slowdown = 5
