package join_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/finding"
	"sheenlay/engine/join"
)

// TestEveryClauseHasItsFaults runs every seeded fault and holds the clauses
// against it: those that it breaks are red, all others green; and each clause
// and each code has a fault that turns it red.
func TestEveryClauseHasItsFaults(t *testing.T) {
	red, codes := map[string]bool{}, map[string]bool{
		// Spoiled around the block and in numbered files: TestFaultsOfTheBytes,
		// TestFaultsOfNumberedLines.
		join.CodeHead: true, join.CodeTail: true, join.CodeKeepOut: true, join.CodeLineNumbers: true,
	}
	m, in := faultCase()
	bent, bentIn := arcFaultCase()
	for _, c := range []struct {
		faults []fault
		prove  func(fault) join.Proof
	}{
		{allFaults(m), func(f fault) join.Proof {
			r, _ := join.Build(in)
			finished, spoiled := spoil(m, in, r, f.edit)
			return join.Prove(finished, m.Bytes, join.PlanOf(in, spoiled, machineOf(m)))
		}},
		{arcFaults(), func(f fault) join.Proof {
			r, _ := join.Build(bentIn)
			finished, spoiled := spoil(bent, bentIn, r, f.edit)
			return join.Prove(finished, bent.Bytes, join.PlanOf(bentIn, spoiled, machineOf(bent)))
		}},
	} {
		for _, f := range c.faults {
			p := c.prove(f)
			broken := 0
			for _, clause := range p.Clauses {
				if !clause.OK {
					red[clause.Name] = true
					broken++
				}
			}
			assert.Positive(t, broken, f.name)
			assert.LessOrEqual(t, broken, len(f.codes), f.name)
			for _, found := range p.Findings {
				if found.Level == finding.Stop {
					codes[found.Code] = true
				}
			}
		}
	}
	r, _ := join.Build(in)
	finished := r.FinishedHead(m.Bytes)
	finished[3] ^= 1
	for i, clause := range join.Prove(finished, m.Bytes, join.PlanOf(in, r, machineOf(m))).Clauses {
		assert.Equal(t, i > 0, clause.OK, clause.Name)
		red[clause.Name] = red[clause.Name] || !clause.OK
	}
	assert.Len(t, red, 6)
	for _, code := range []string{
		join.CodeHead, join.CodeTail, join.CodeCommands, join.CodeSide, join.CodeBed, join.CodeKeepOut, join.CodeBelow, join.CodeRetracted,
		join.CodeCold, join.CodeHot, join.CodeJump, join.CodeLowTravel, join.CodeFlow, join.CodeHeight, join.CodeTotal, join.CodeWay, join.CodeArc,
		join.CodeNumber, join.CodeLine, join.CodeLineNumbers, join.CodeCommentLines,
	} {
		assert.True(t, codes[code], "no fault leads to %s", code)
	}
}
