package tol

// ScanBucketsPerEdge bounds how many height buckets a scan.Cutter makes for
// each edge it was given. Reason: about one bucket per edge keeps a look-up to
// a handful of edges while memory stays linear. User: scan.
const ScanBucketsPerEdge = 1.0

// ScanRoom is the length (mm) that a capsule is widened by before it is taken
// out of a row. Reason: row ends that touch a border's clearance exactly must
// not survive as slivers of rounding size. User: scan.
const ScanRoom = 1e-9
