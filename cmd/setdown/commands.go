package main

import "github.com/spf13/cobra"

// commands lists every command of the tool.
func commands(c *console) []*cobra.Command {
	return []*cobra.Command{
		newInspectCommand(c),
		newAnalyzeCommand(c),
		newCadenceCommand(c),
		newDemoCommand(c),
		newSimulateCommand(c),
		newScoreCommand(c),
	}
}
