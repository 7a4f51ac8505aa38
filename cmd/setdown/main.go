// Command setdown tells from sensor recordings whether one foot is dropped
// rather than set down after the heel lands. See README.md.
package main

import (
	"context"
	"os"
	"os/signal"
)

func main() {
	setHeapGrowth(heapGrowth)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
