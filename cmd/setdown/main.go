// Command setdown tells from sensor recordings whether one foot is dropped
// rather than set down after the heel lands. See README.md.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	anyHeap().set()
	// What ends a job on a server is met like Ctrl-C: nothing half is left behind. The
	// second time ends the program at once, also where it waits for a pipe.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
