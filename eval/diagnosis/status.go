package diagnosis

import (
	"fmt"
	"slices"
	"strings"
)

// UnmarshalText reads the words that MarshalText writes. It refuses any other, and lists those that there are.
func (s *Status) UnmarshalText(text []byte) error {
	i := slices.Index(statusWords[:], string(text))
	if i < 0 {
		return fmt.Errorf("%q is no status; write one of: %s", text, strings.Join(statusWords[:], "; "))
	}
	*s = Status(i)
	return nil
}
