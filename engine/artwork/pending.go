package artwork

import (
	"context"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
)

func pictured(ctx context.Context, in Input, found *finding.List) (source, error) {
	return source{}, finding.Finding{Code: "pending", Level: finding.Stop, Text: "pending"}
}
func lettered(in Input, found *finding.List) (source, error) {
	return source{}, finding.Finding{Code: "pending", Level: finding.Stop, Text: "pending"}
}
func assignLays(src *source, in Input, out *Artwork)                  {}
func laysByColour(src *source, colours []string, art job.Art) {}
