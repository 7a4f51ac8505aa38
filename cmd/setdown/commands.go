package main

import (
	"time"

	"github.com/spf13/cobra"
)

// commands lists every command of the tool.
func commands(c *console) []*cobra.Command {
	return []*cobra.Command{
		newInspectCommand(c),
		newAnalyzeCommand(c),
		newCadenceCommand(c),
		newCaseCommand(c, time.Now, caseAnalyze),
		newBatchCommand(c),
		newReliabilityCommand(c),
		newServeCommand(c),
		newDemoCommand(c),
		newSimulateCommand(c),
		newScoreCommand(c),
	}
}
