// Package page makes the report page of a session: one HTML file that needs
// nothing else, begins with the answer in one sentence and says how sure it is,
// then shows the sides side by side, the pictures, what was left out and why,
// and when to get help.
package page

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"

	"setdown/gait"
)

//go:embed page.gohtml
var source string

//go:embed style.css
var style string

// Style is the style sheet of the page, for programs that show Body inside a
// page of their own.
func Style() string { return style }

// Write writes the whole page. Nothing is written when the page cannot be
// made. The same result gives the same bytes.
func Write(w io.Writer, res *gait.Result) error {
	return execute(w, "page", newView(res, ""))
}

// WriteBody writes the content of the page without head and style, for a page
// of another program. Prefix makes ids unique where several stand on one page.
func WriteBody(w io.Writer, res *gait.Result, prefix string) error {
	return execute(w, "body", newView(res, prefix))
}

func execute(w io.Writer, name string, v view) error {
	t, err := template.New("").Parse(source)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, name, v); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}
