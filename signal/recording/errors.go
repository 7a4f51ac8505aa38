package recording

import (
	"fmt"
	"strconv"
)

// Error is what is wrong with an input, at the place where it is wrong.
type Error struct {
	// File is the input's name.
	File string
	// Line is the 1-based line; 0 when the whole file is meant.
	Line int
	// Column is the column's heading; empty when no column is meant.
	Column string
	// Msg says what is wrong, in lower case and without a final full stop.
	Msg string
	// Hint says what to do about it; it may be empty.
	Hint string
	// Err is the cause, where there is one.
	Err error
}

// Error prints `FILE:LINE: column "NAME": MSG`, leaving out what is unknown.
func (e *Error) Error() string {
	s := e.File
	if e.Line > 0 {
		s += ":" + strconv.Itoa(e.Line)
	}
	if s != "" {
		s += ": "
	}
	if e.Column != "" {
		s += "column " + strconv.Quote(e.Column) + ": "
	}
	return s + e.Msg
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// hint adds what to do about the error.
func (e *Error) hint(format string, args ...any) *Error {
	e.Hint = fmt.Sprintf(format, args...)
	return e
}

// column names the column that is meant.
func (e *Error) column(name string) *Error {
	e.Column = name
	return e
}

// fault makes an error at a line of a file; line 0 means the whole file.
func fault(file string, line int, format string, args ...any) *Error {
	return &Error{File: file, Line: line, Msg: fmt.Sprintf(format, args...)}
}
