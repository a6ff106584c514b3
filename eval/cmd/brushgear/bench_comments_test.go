package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
)

const commentedRecord = `# Came in on a pallet.
brushgear 1
use "dynamo.sheet"

# the unit
record "J-1" of unit { # urgent
  serial "A # 1"
  pass as found on 2026-03-02 {
    taken a.x 1 V  # needle wavers
    # second try
    taken a { x 2 V, y 3 V }
    # nothing after this
  }
}
# end
`

// What was written beside the record is there again, once, and near what it was written beside; even where the line has gone.
func TestCommentsAreKept(t *testing.T) {
	written := `brushgear 1

use "dynamo.sheet"

record "J-1" of unit {
  serial "A # 1"

  pass as found on 2026-03-02 {
    taken a.x 1 V
    taken a.x 2 V
    taken a.y 3 V
    taken b.z 4 V
  }
}
`
	got := withComments(written, commentedRecord)
	_, err := dsl.Parse("record.sheet", []byte(got))
	require.NoError(t, err)
	for _, c := range []string{"# Came in on a pallet.\nbrushgear 1", "# the unit\nrecord", "unit {  # urgent", "1 V  # needle wavers", "# second try", "    # nothing after this\n  }", "}\n# end"} {
		require.Equal(t, 1, strings.Count(got, c), "%s in\n%s", c, got)
	}
	require.Equal(t, written, withComments(written, strings.ReplaceAll(written, "#", "")))
	require.Equal(t, got, withComments(written, got), "a second time")
}
