package dsl

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
)

func TestParseValue(t *testing.T) {
	tests := []struct{ text, want string }{
		{"4.2 A", ""},
		{"4.2A", "4.2 A"},
		{"-0.5 mV", ""},
		{"12", ""},
		{"2 to 9 Ω jumping", ""},
		{"1.1 A to 4.0 A", ""},
		{"OL", ""},
		{"> 1 MΩ", ""},
		{"<0.1 A", "< 0.1 A"},
		{"(9.6 9.7 missing 14.2 mV)", ""},
		{"( OL >3uF -1 )", "(OL > 3 µF -1)"},
		{"lit|dim", "lit | dim"},
		{"good", ""},
		{"run", ""},
		{"part | use", ""},
		{`"a \"b\""`, ""},
		{" 2-3/16in\n", "2-3/16 in"},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			want := tt.want
			if want == "" {
				want = tt.text
			}
			v, err := ParseValue(tt.text)
			require.NoError(t, err)
			require.Equal(t, want, v.String())
			again, err := ParseValue(v.String())
			require.NoError(t, err)
			require.Empty(t, cmp.Diff(v, again, sameTree))
			f := mustParse(t, "brushgear 1\nrecord \"r\" of f {\ntaken a.b "+tt.text+"\n}")
			require.Empty(t, cmp.Diff(v, f.Decls[0].(*Record).Body[0].(*Taken).Value, sameTree), "as in a record")
		})
	}
	var none *Value
	require.Empty(t, none.String())
	var item *Item
	require.Empty(t, item.String())
}

func TestParseRef(t *testing.T) {
	for text, want := range map[string]string{
		"free_run": "free_run", "a.b.c": "a.b.c", "part.run": "part.run", "drop.back[plus,u]": "drop.back[plus, u]", "a[1 , 2]": "a[1, 2]",
	} {
		ref, err := ParseRef(text)
		require.NoError(t, err)
		require.Equal(t, want, ref.String())
	}
}

func TestParseAloneErrors(t *testing.T) {
	tests := []struct {
		text, want string
		ref        bool
	}{
		{text: "", want: "1:1: a value ends too early"},
		{text: "4,2 A", want: "1:1: a decimal comma is not understood; write 4.2"},
		{text: "4.2 Vlt", want: "1:5: there is no unit Vlt"},
		{text: "4.2 A x", want: `1:7: the word "x" is not expected in a value`},
		{text: "4.2 A # open", want: "1:7: # open is not expected in a value"},
		{text: "> ", want: "1:3: a value ends too early"},
		{text: "(1 2", want: "1:5: a value ends too early"},
		{text: "½", want: "1:1: the fraction ½ is not understood; write 1/2"},
		{text: "2½ Ω", want: "1:2: the fraction ½ is not understood; write 2-1/2 with its unit, or a decimal number"},
		{text: "~5 A", want: "1:1: ~ does not belong to a value; leave it out and write what was read"},
		{text: "2..9 Ω", want: "1:2: .. does not belong to a value; write to between the ends of a range: 2 to 9 Ω"},
		{text: "2-9 Ω", want: "1:2: two numbers joined by a minus are no value; write to between the ends of a range: 2 to 9 Ω"},
		{text: "2 A; drop", want: "1:4: ; does not belong to a value; write the value alone; what else there is to say goes into a note"},
		{text: "≥ 5 V", want: "1:1: ≥ does not belong to a value; write >"},
		{text: "OL OL", want: "1:4: "},
		{text: "5 to good", want: "1:6: "},
		{text: "lit |\n|", want: "2:1: | is not expected in a value"},
		{text: "", want: "1:1: a name ends too early", ref: true},
		{text: "a.", want: "1:3: a name ends too early", ref: true},
		{text: "a b", want: `1:3: the word "b" is not expected in a name`, ref: true},
		{text: "5", want: "1:1: the number 5 is not expected in a name", ref: true},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			var err error
			if tt.ref {
				_, err = ParseRef(tt.text)
			} else {
				_, err = ParseValue(tt.text)
			}
			require.ErrorContains(t, err, tt.want)
			var ds Diagnostics
			require.ErrorAs(t, err, &ds)
			require.NotEmpty(t, ds[0].Help)
		})
	}
	v, err := ParseValue(string(make([]byte, 3<<20)))
	require.ErrorContains(t, err, "too-large")
	require.Nil(t, v)
}
