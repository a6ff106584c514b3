package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// TestWhatToSet: where it is not known which limit counts, the record is told what to say of the unit.
func TestWhatToSet(t *testing.T) {
	for when, want := range map[string]string{
		`serial at least "X200"`:    `find out and write serial "..."`,
		`built at least 2001-01-01`: "find out and write built and the day, as in built 2019-06-01",
		`odd is yes`:                "find out and write set odd ...",
		`odd is yes and serial at least "X200" or odd is yes`:      `find out and write serial "..." and set odd ...`,
		`fixed is yes or serial at least "X200" and fixed is no`:   "",
		`fixed is yes and (serial at least "X2" or odd is no)`:     `find out and write serial "..." and set odd ...`,
		`fixed is yes and serial at least "X2" and chosen is wide`: `find out and write serial "..."`,
	} {
		v := judged(t, `brushgear 1
family motor "Motor" {
  attribute odd : yes | no
  attribute fixed : yes | no
  attribute chosen : wide | narrow
  set fixed yes
  test field "Field" { read resist : Ω  limit resist 5 to 6 Ω }
  variant late "late" when `+when+` { limit field.resist 7 to 8 Ω }
}
record "r" of motor { judge 2026-03-02  set chosen wide  pass as found { taken field.resist 5.5 Ω } }`)
		require.Equal(t, want, explained(t, v, "field.resist").Decides, when)
	}
}

// TestNoNumbers: a word in the place of a number is answered with what to write for it.
func TestNoNumbers(t *testing.T) {
	b := mustBench(t, family("read x : Ω  read i : A  read c : °C", ""))
	for reading, want := range map[string]string{
		"t.x infinite":       "x is a number: write OL for what is beyond the meter, as an open circuit is for an ohmmeter",
		"t.x open":           "write OL for what is beyond the meter",
		`t.x "over range"`:   "write OL for what is beyond the meter",
		"t.c open":           "c is a number: write OL if the meter was overloaded, or > and its full scale",
		"t.i open":           "i is a number: write 0 A for an open circuit",
		"t.x unknown":        "write missing, or leave it out and give the reason with skip",
		`t.x "not measured"`: "write missing, or leave it out and give the reason with skip",
		"t.x rough":          "write it with its unit, such as 2 Ω",
		"t.x 5 A":            "x is a resistance, and 5 A is a current: write it in Ω",
		"t.c 68 F":           "c is a temperature, and 68 F is none: write °F",
		"t.x 5 °C":           "x is a resistance, and 5 °C is a temperature: write it in Ω",
	} {
		f, err := dsl.Parse("r", []byte("brushgear 1\nrecord \"r\" of unit { judge 2026-03-02 pass as found { taken "+reading+" } }"))
		require.NoError(t, err)
		records, err := eval.ReadRecords(f)
		require.NoError(t, err)
		_, err = b.Load(records[0])
		require.ErrorContains(t, err, want, reading)
	}
}

// TestSkipReasonsInMessages: a message of the parser lists every reason.
func TestSkipReasonsInMessages(t *testing.T) {
	_, err := dsl.Parse("r", []byte("brushgear 1\nrecord \"r\" of unit { skip t.x }"))
	for _, reason := range eval.SkipReasons() {
		require.ErrorContains(t, err, reason)
	}
}
