package decimal_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// The text ends where memory ends that may be read: one byte more would end the
// program. So it is for each place where a row can stand before that.
func TestRowsLookAtNothingBehindTheText(t *testing.T) {
	page := os.Getpagesize()
	memory, err := unix.Mmap(-1, 0, 2*page, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	require.NoError(t, err)
	defer func() { require.NoError(t, unix.Munmap(memory)) }()
	require.NoError(t, unix.Mprotect(memory[page:], unix.PROT_NONE))
	f := table{3, ',', '.', '\n'}
	for _, end := range []string{"", "1", "1,", "-", "1,2,3\r", "1,2,3", "1,2,1234567890123456789012", "1,2,123456789012345\r", "1,2,-0.25\r\n", ".", "1,2,3\n1,2,3\n1,2,3\n1"} {
		for size := range 120 {
			text := strings.Repeat("-1.5,22,0.333\n", 9)
			text = text[len(text)-size:] + end
			b := memory[page-len(text) : page : page]
			copy(b, text)
			f.requireSame(t, b, 40)
		}
	}
}
