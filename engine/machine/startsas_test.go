package machine_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/machine"
)

// A preset fills in fields of the job; each of them must exist there, in the
// same unit, and take every value the preset may hold.
func TestPresetsFitTheJob(t *testing.T) {
	fields := map[string]job.Field{}
	for _, f := range job.Fields() {
		fields[f.Path] = f
	}
	checked := 0
	for _, f := range machine.Fields() {
		if f.StartsAs == "" {
			continue
		}
		checked++
		target, ok := fields[f.StartsAs]
		require.True(t, ok, "the job has no field %s", f.StartsAs)
		assert.Equal(t, f.Unit, target.Unit, f.StartsAs)
		assert.LessOrEqual(t, target.Min, f.Min, f.StartsAs)
		assert.GreaterOrEqual(t, target.Max, f.Max, f.StartsAs)
		if target.Default != 0.0 { // 0 in a job stands for "as in the sliced file"
			assert.Equal(t, f.Default, target.Default, "%s: one default", f.StartsAs)
		}
	}
	assert.Equal(t, 10, checked)
}
