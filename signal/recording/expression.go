package recording

import (
	"regexp"
	"sync"
)

// pattern returns a regular expression that is made when it is first asked for:
// most recordings need none, and making all takes as long as a fiftieth of a 1 min
// pair. It panics then where the expression is wrong.
func pattern(expression string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}
