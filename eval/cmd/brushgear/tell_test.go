package main

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTellGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"tell_first.txt":         {sheets + "first.sheet"},
		"tell_first.html":        {"-format", "html", sheets + "first.sheet"},
		"tell_first.json":        {"-format", "json", sheets + "first.sheet"},
		"tell_battery_tests.txt": {sheets + "sheets/battery.sheet", "battery", "-table", "tests"},
		"tell_tarnby_limits.txt": {sheets + "sheets/tarnby.sheet", "tarnby_90", "-table", "limits"},
		"tell_tarnby_faults.txt": {"-table", "faults", sheets + "sheets/tarnby.sheet"},
	} {
		code, out, errs := call(t, "", append([]string{"tell"}, args...)...)
		require.Equal(t, exitOK, code, errs)
		require.Empty(t, errs)
		golden(t, name, out)
	}
}

// What is printed fits a terminal of 110 columns, and a page holds together: every tag is closed, and nothing is fetched.
func TestTellLayout(t *testing.T) {
	code, out, _ := call(t, "", "tell", sheets+"sheets/skerrow.sheet")
	require.Equal(t, exitOK, code)
	for line := range strings.Lines(out) {
		require.LessOrEqual(t, len([]rune(strings.TrimRight(line, "\n"))), 110, line)
	}
	code, out, _ = call(t, "", "tell", sheets+"sheets/skerrow.sheet", "-format", "html")
	require.Equal(t, exitOK, code)
	for _, fetched := range []string{"http:", "https:", "src=", "href=", "<script"} {
		require.NotContains(t, out, fetched)
	}
	d := xml.NewDecoder(strings.NewReader(out))
	d.Entity = xml.HTMLEntity
	for {
		_, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
	}
	require.Contains(t, out, "The pinion jumps forward with force: fingers out of the nose, guard on.")
}

func TestTellUnits(t *testing.T) {
	code, out, errs := call(t, "", "tell")
	require.Equal(t, exitOK, code)
	require.Contains(t, errs, "telling the built-in example")
	require.Contains(t, out, "(tarnby_90)")
	code, out, _ = call(t, "", "tell", sheets+"sheets/motor.sheet", "-table", "faults")
	require.Equal(t, exitOK, code)
	require.Contains(t, out, "(cranking_motor)")
	require.Contains(t, out, "(gear_motor)")
	code, _, errs = call(t, "", "tell", sheets+"sheets/motor.sheet", "gear_moter")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "did you mean gear_motor?")
	code, _, errs = call(t, "", "tell", sheets+"sheets/practice.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "declares no family and no kind")
	code, _, errs = call(t, "", "tell", "-table", "parts", sheets+"first.sheet")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errs, "tests, limits or faults")
	for _, flags := range [][]string{{"-format", "pdf"}, {"-format", "json", "-table", "tests"}} {
		code, _, _ = call(t, "", append(append([]string{"tell"}, flags...), sheets+"first.sheet")...)
		require.Equal(t, exitUsage, code)
	}
	code, _, errs = call(t, "", "tell", "no_such.sheet")
	require.Equal(t, exitFailed, code)
	require.NotEmpty(t, errs)
}
