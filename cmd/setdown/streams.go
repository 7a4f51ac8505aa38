package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// heard remembers that something could not be printed: an answer that nobody got
// must not pass for one.
type heard struct {
	to  io.Writer
	err error
}

// Write prints p.
func (h *heard) Write(p []byte) (int, error) {
	n, err := h.to.Write(p)
	if err != nil && h.err == nil {
		h.err = err
	}
	return n, err
}

// failure is the first error of printing, nil where there was none.
func (h *heard) failure() error {
	var file *fs.PathError
	switch {
	case h.err == nil:
		return nil
	case errors.As(h.err, &file):
		return fmt.Errorf("standard output: %w", file.Err)
	}
	return fmt.Errorf("standard output: %w", h.err)
}

// streamPart is how many bytes are asked of standard input at once.
const streamPart = 1 << 16

// endedBy is an input that ends with its context: one that nobody writes to would
// be waited for without an end, whatever the reader presses.
type endedBy struct {
	ctx context.Context
	in  io.Reader
}

// Read reads into p. After the context's end, what the input still gives is lost.
func (e *endedBy) Read(p []byte) (int, error) {
	type part struct {
		bytes []byte
		err   error
	}
	got := make(chan part, 1)
	room := make([]byte, min(len(p), streamPart))
	go func() {
		n, err := e.in.Read(room)
		got <- part{room[:n], err}
	}()
	select {
	case g := <-got:
		return copy(p, g.bytes), g.err
	case <-e.ctx.Done():
		return 0, e.ctx.Err()
	}
}
