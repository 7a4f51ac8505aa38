package main

import (
	"encoding/json"
	"fmt"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"setdown/report/trial"
)

// batchEvent is a JSON line of --events.
type batchEvent struct {
	Event     string  `json:"event"`
	Recording string  `json:"recording,omitempty"`
	File      string  `json:"file,omitempty"`
	Number    int     `json:"number,omitempty"`
	Total     int     `json:"total,omitempty"`
	Kept      int     `json:"kept,omitempty"`
	Done      int     `json:"done,omitempty"`
	Failed    int     `json:"failed,omitempty"`
	State     string  `json:"state,omitempty"`
	Message   string  `json:"message,omitempty"`
	Hint      string  `json:"hint,omitempty"`
	PerSecond float64 `json:"per_second,omitempty"`
	LeftS     float64 `json:"seconds_left,omitempty"`
}

func (c *console) event(e batchEvent) {
	line, _ := json.Marshal(e) // a struct of texts and numbers
	fmt.Fprintf(c.err, "%s\n", line)
}

// batchProgress draws the events of a batch: a bar on a terminal, plain lines
// elsewhere, JSON lines with --events.
type batchProgress struct {
	c      *console
	events bool
	bar    *progressbar.ProgressBar
	begin  time.Time
	last   time.Time
	done   int // without those kept
}

// plainEvery is how often a plain line is printed.
const plainEvery = 10 * time.Second

func newBatchProgress(c *console, events bool) *batchProgress {
	return &batchProgress{c: c, events: events, begin: time.Now()}
}

// onTerminal tells whether messages go to a terminal.
func (c *console) onTerminal() bool {
	f, ok := c.err.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// one shows a finished recording.
func (p *batchProgress) one(e trial.Event) {
	if p.bar == nil && !p.events && p.c.onTerminal() {
		p.bar = progressbar.NewOptions(e.Total, progressbar.OptionSetWriter(p.c.err), progressbar.OptionShowCount(),
			progressbar.OptionShowIts(), progressbar.OptionSetItsString("recordings"), progressbar.OptionSetPredictTime(true),
			progressbar.OptionSetDescription("analysing"), progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(100*time.Millisecond))
	}
	if !e.Kept {
		p.done++
	}
	if p.events {
		p.jsonLine(e)
		return
	}
	if e.Message != "" {
		if p.bar != nil {
			_ = p.bar.Clear()
		}
		fmt.Fprintf(p.c.err, "setdown: %s: %s\n", e.Item.ID, e.Message)
		if e.Hint != "" {
			fmt.Fprintf(p.c.err, "setdown: hint: %s\n", e.Hint)
		}
	}
	switch {
	case p.bar != nil:
		_ = p.bar.Add(1) // a bar that cannot be drawn is no reason to stop
	case time.Since(p.last) > plainEvery && !p.last.IsZero() || e.Number == e.Total:
		p.last = time.Now()
		fmt.Fprintf(p.c.err, "setdown: %d of %d recordings, %.1f a second%s\n", e.Number, e.Total, p.rate(), p.left(e))
	case p.last.IsZero():
		p.last = time.Now()
	}
}

// rate is the recordings analysed a second.
func (p *batchProgress) rate() float64 {
	return float64(p.done) / max(1e-3, time.Since(p.begin).Seconds())
}

// left says how long it will take.
func (p *batchProgress) left(e trial.Event) string {
	if r := p.rate(); r > 0 && e.Number < e.Total {
		return ", about " + (time.Duration(float64(e.Total-e.Number)/r) * time.Second).String() + " left"
	}
	return ""
}

func (p *batchProgress) jsonLine(e trial.Event) {
	line := batchEvent{Event: "recording", Recording: e.Item.ID, Number: e.Number, Total: e.Total, State: "done", Message: e.Message, Hint: e.Hint}
	if e.Message != "" {
		line.State = "failed"
	}
	if e.Kept {
		line.Kept = 1
	}
	if r := p.rate(); r > 0 {
		line.PerSecond, line.LeftS = r, float64(e.Total-e.Number)/r
	}
	p.c.event(line)
}

// end leaves the terminal clean.
func (p *batchProgress) end() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}
