// Command setdown tells from sensor recordings whether one foot is dropped
// rather than set down after the heel lands. See README.md.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
)

// heapGrowth is how far, in percent of what is in use, the heap may grow before
// it is cleared: half of Go's usual, since most of what a recording needs is
// used for a moment only. It costs up to 8 % more instructions on a short
// recording and saves a tenth of the memory (docs/performance.md).
const heapGrowth = 50

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapGrowth)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
