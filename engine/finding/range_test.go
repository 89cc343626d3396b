package finding_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
)

func TestOutOfRangeNamesFieldValueAndRange(t *testing.T) {
	for name, c := range map[string]struct {
		value float64
		out   bool
		text  string
	}{
		"inside":          {0.4, false, ""},
		"lower end":       {0.24, false, ""},
		"upper end":       {0.8, false, ""},
		"below":           {0.15, true, "The bead width is 0.15 mm; permitted is 0.24 to 0.8 mm."},
		"not a number":    {math.NaN(), true, "The bead width is not a number; permitted is 0.24 to 0.8 mm."},
		"infinite":        {math.Inf(1), true, "The bead width is +Inf mm; permitted is 0.24 to 0.8 mm."},
		"hostile number":  {1e308, true, "The bead width is 1e+308 mm; permitted is 0.24 to 0.8 mm."},
		"negative number": {-1, true, "The bead width is -1 mm; permitted is 0.24 to 0.8 mm."},
	} {
		t.Run(name, func(t *testing.T) {
			f, out := finding.OutOfRange("bead-width", "bead.widthMM", "The bead width", c.value, 0.24, 0.8, "mm")
			require.Equal(t, c.out, out)
			assert.Equal(t, c.text, f.Text)
			_, err := json.Marshal(f)
			assert.NoError(t, err, "a finding can always be sent to the page")
		})
	}
	f, out := finding.OutOfRange("layer-height", "bead.heightMM", "The layer height", 0.2, 0.04, 0.03, "mm")
	require.True(t, out)
	assert.Equal(t, "The layer height is 0.2 mm; no value goes with the other settings as they are. Correct the settings that it depends on first.", f.Text+" "+f.Remedy)
}
