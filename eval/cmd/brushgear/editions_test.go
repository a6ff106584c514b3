package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// edition copies the example sheets, with replacements by file, and returns the name of the shop's sheet in the copy.
func edition(t *testing.T, edits map[string][]string) string {
	t.Helper()
	dir := t.TempDir()
	names, err := filepath.Glob(sheets + "sheets/*.sheet")
	require.NoError(t, err)
	for _, name := range names {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		text := string(data)
		list := edits[filepath.Base(name)]
		for i := 0; i < len(list); i += 2 {
			require.Contains(t, text, list[i])
			text = strings.Replace(text, list[i], list[i+1], 1)
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Base(name)), []byte(text), 0o644))
	}
	return filepath.Join(dir, "shop.sheet")
}

var newEdition = map[string][]string{
	"tarnby.sheet": {
		"limit ring_field.current      3.8 to 4.2 A", "limit ring_field.current      3.9 to 4.2 A",
		"6000 rpm up : at least 86 A", "6000 rpm up : at least 88 A",
		"26.5 mm (1.043 in)", "26500 µm (1.043 in)",
	},
	"alternator.sheet": {
		"shows ripple first always when sets is single", "shows ripple first usually when sets is single",
		"    retest ring_field, ring_ground, ring_lead, flex, output\n", "    retest ring_ground, ring_lead, flex, output\n",
	},
	"shop.sheet": {"at least 60 % new at least 95 %", "at least 65 % new at least 95 %"},
}

func TestEditionsGolden(t *testing.T) {
	old, new := edition(t, nil), edition(t, newEdition)
	records, err := filepath.Glob(sheets + "records/*.*")
	require.NoError(t, err)
	code, out, errs := call(t, "", append([]string{"editions", "-shop", "quayside", old, new}, records...)...)
	require.Equal(t, exitOK, code, errs)
	require.Empty(t, errs)
	golden(t, "editions.txt", out)

	code, out, _ = call(t, "", "editions", old, new, sheets+"records/tarnby_rotor_ground.json", "-json")
	require.Equal(t, exitOK, code)
	var e struct {
		Changes []struct{ What, Name, Place string }
		Records int
	}
	require.NoError(t, json.Unmarshal([]byte(out), &e))
	require.Len(t, e.Changes, 5)
	require.Contains(t, e.Changes[0].Place, "tarnby.sheet:")
	require.Equal(t, 1, e.Records)
}

func TestEditionsFlags(t *testing.T) {
	old, new := edition(t, nil), edition(t, newEdition)
	code, out, _ := call(t, "", "editions", "-same", old, edition(t, nil))
	require.Equal(t, exitOK, code)
	require.Equal(t, "The two editions mean the same.\n", out)
	code, _, _ = call(t, "", "editions", "-same", old, new)
	require.Equal(t, exitFailed, code)
	// J-0977 came in before there were house rules; judged by a later day their change counts.
	new = edition(t, map[string][]string{"shop.sheet": {"at least 60 % new", "at least 50 % new"}})
	record := sheets + "records/tarnby_2005.sheet"
	_, out, _ = call(t, "", "editions", old, new, "-shop", "quayside", record)
	require.Contains(t, out, "0 of 1 record would")
	_, out, _ = call(t, "", "editions", old, new, "-shop", "quayside", "-day", "2026-03-02", record)
	require.Contains(t, out, "1 of 1 record would be judged otherwise")
	require.Contains(t, out, "brushes.left")
	code, _, _ = call(t, "", "editions", old)
	require.Equal(t, exitUsage, code)
	code, _, errs := call(t, "", "editions", old, "no_such.sheet")
	require.Equal(t, exitFailed, code)
	require.NotEmpty(t, errs)
	code, _, errs = call(t, "", "editions", old, new, "no_such.json")
	require.Equal(t, exitFailed, code)
	require.NotEmpty(t, errs)
	// The family's sheet alone lacks the battery that the record names: neither edition can judge it.
	code, _, errs = call(t, "", "editions", filepath.Join(filepath.Dir(old), "tarnby.sheet"), filepath.Join(filepath.Dir(new), "tarnby.sheet"), record)
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "J-0977")
}
