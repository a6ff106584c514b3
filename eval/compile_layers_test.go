package eval_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

const layersSheet = `brushgear 1
source old "Old sheet" edition "1" until 2010-12-31
source recent "Recent sheet" edition "2" from 2011-01-01
kind base "Base" {
  attribute poles : count
  attribute nominal : 12 V | 24 V
  test a "A" { read x : V  limit x at most 1 V }
  test b "B" { read y : A  limit y }
  test c "C" { needs a is good  read z : V  limit z at most 9 V when nominal is 12 V  limit z at most 18 V when nominal is 24 V }
  part casing "Casing"
  fault f "F" { part casing shows a high always }
}
kind middle "Middle" of base { limit a.x at most 2 V }
family unit "Unit" of middle {
  set poles 12
  set nominal 12 V
  limit a.x at most 3 V
  limit b.y at most 10 A per old
  limit b.y at most 20 A per recent
  variant late "from serial K500" when serial at least "K500" {
    set poles 16
    limit a.x at most 4 V
    without fault f
  }
}
shop strict "Strict" { limit a.x at most 0.5 V }
`

// layered judges one record of the family above.
func layered(t *testing.T, statements string, options ...eval.Option) *eval.Verdict {
	t.Helper()
	return judgedWith(t, layersSheet+`record "r" of unit { `+statements+` }`, options...)
}

func judgedWith(t *testing.T, sheet string, options ...eval.Option) *eval.Verdict {
	t.Helper()
	b := mustBench(t, sheet)
	records, err := b.Records()
	require.NoError(t, err)
	j, err := b.Load(records[0], options...)
	require.NoError(t, err)
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	return v
}

// TestLayers: kind, kind of it, family, variant and shop override each other, and the verdict says what was replaced.
func TestLayers(t *testing.T) {
	reading := func(serial string) string { return `serial "` + serial + `" judge 2026-03-02 taken a.x 3.5 V` }
	e := explained(t, layered(t, reading("K 100")), "a.x")
	require.Equal(t, eval.Fail, e.Result)
	require.Equal(t, "family unit", e.Limit.Layer)
	require.Len(t, e.Limit.Replaced, 2)
	require.Contains(t, e.Limit.Replaced[0], "at most 2 V of kind middle")
	require.Contains(t, e.Limit.Replaced[1], "at most 1 V of kind base")

	require.Equal(t, eval.Pass, explained(t, layered(t, reading("K 501")), "a.x").Result, "the variant applies")

	e = explained(t, layered(t, reading("K 501"), eval.InShop("strict")), "a.x")
	require.Equal(t, eval.Fail, e.Result)
	require.Equal(t, "shop strict", e.Limit.Layer)
	require.Len(t, e.Limit.Replaced, 4)
	for i, layer := range []string{"at most 4 V of variant late", "at most 3 V of family unit", "at most 2 V of kind middle", "at most 1 V of kind base"} {
		require.Contains(t, e.Limit.Replaced[i], layer)
	}
}

// TestLimitByAttribute: while the attribute is not known, neither is the limit, and the verdict names what to find out.
func TestLimitByAttribute(t *testing.T) {
	sheet := func(nominal string) string {
		return `brushgear 1
family unit "Unit" {
  attribute nominal : 12 V | 24 V
  test c "C" { read z : V  limit z at most 9 V when nominal is 12 V  limit z at most 18 V when nominal is 24 V }
}
record "r" of unit { ` + nominal + ` judge 2026-03-02 taken c.z 12 V }`
	}
	for nominal, want := range map[string]eval.Result{"set nominal 12 V": eval.Fail, "set nominal 24 V": eval.Pass, "": eval.NotDecidable} {
		e := explained(t, judged(t, sheet(nominal)), "c.z")
		require.Equal(t, want, e.Result, nominal)
		if nominal == "" {
			require.Contains(t, e.Why, "which limit counts is not known: nominal is 12 V; nominal is 24 V")
		}
	}
}

// TestVariantsBySerial: digit runs count as numbers, and another pattern of letters is not comparable.
func TestVariantsBySerial(t *testing.T) {
	for serial, want := range map[string]eval.Result{
		"K500": eval.Pass, "K 1 000": eval.Pass, "k-501": eval.Pass, "K499": eval.Fail, "K9": eval.Fail,
		"X900": eval.NotDecidable, "900": eval.NotDecidable, "KA900": eval.NotDecidable,
	} {
		e := explained(t, layered(t, `serial "`+serial+`" judge 2026-03-02 taken a.x 3.5 V`), "a.x")
		require.Equal(t, want, e.Result, serial)
		if want == eval.NotDecidable {
			require.Contains(t, e.Why, `serial at least "K500"`, serial)
		}
	}
}

// TestUnknownVariantIsUnited: while the serial is not known, both limits count, and what both say is decided.
func TestUnknownVariantIsUnited(t *testing.T) {
	for reading, want := range map[string]eval.Result{"2.9 V": eval.Pass, "3.5 V": eval.NotDecidable, "4.1 V": eval.Fail} {
		require.Equal(t, want, explained(t, layered(t, `judge 2026-03-02 taken a.x `+reading), "a.x").Result, reading)
	}
}

// TestVariantSetIsUnited: an attribute that a variant sets is unknown while it is not known whether the variant applies.
func TestVariantSetIsUnited(t *testing.T) {
	sheet := func(serial, volts string) string {
		return `brushgear 1
family unit "Unit" {
  attribute nominal : 12 V | 24 V
  set nominal 12 V
  test a "A" { read x : V  limit x at most 15 V when nominal is 12 V  limit x at most 30 V when nominal is 24 V }
  variant late "Late" when serial at least "K500" { set nominal 24 V }
}
record "r" of unit { ` + serial + ` judge 2026-03-02 taken a.x ` + volts + ` }`
	}
	for _, test := range []struct {
		serial, volts string
		want          eval.Result
	}{
		{`serial "K499"`, "20 V", eval.Fail}, {`serial "K500"`, "20 V", eval.Pass},
		{"", "20 V", eval.NotDecidable}, {"", "14 V", eval.Pass}, {"", "31 V", eval.Fail},
	} {
		require.Equal(t, test.want, checked(t, sheet(test.serial, test.volts), "a.x").Result(), "%s %s", test.serial, test.volts)
	}
}

func TestVariantsByBuildDate(t *testing.T) {
	sheet := func(built string) string {
		return `brushgear 1
family unit "Unit" {
  test a "A" { read x : V  limit x at most 3 V }
  variant early "Early" when built below 2004-07-01 { limit a.x at most 4 V }
}
record "r" of unit { ` + built + ` judge 2026-03-02 taken a.x 3.5 V }`
	}
	for built, want := range map[string]eval.Result{"built 2004-06-30": eval.Pass, "built 2004-07-01": eval.Fail, "": eval.NotDecidable} {
		require.Equal(t, want, checked(t, sheet(built), "a.x").Result(), built)
	}
}

func TestVariantLeavesOutAFault(t *testing.T) {
	for serial, there := range map[string]bool{"K100": true, "K600": false} {
		_, ok := layered(t, `serial "`+serial+`" judge 2026-03-02 taken a.x 9 V`).Last().Fault("f")
		require.Equal(t, there, ok, serial)
	}
}

// TestVariantAdds: a test and a fault of a variant are there for its units alone.
func TestVariantAdds(t *testing.T) {
	for serial, want := range map[string]eval.Result{"K600": eval.Fail, "K100": eval.NotApplicable} {
		sheet := `brushgear 1
family unit "Unit" {
  part seal "Seal"
  test a "A" { read x : V  limit x at most 3 V }
  variant late "Late" when serial at least "K500" {
    test b "B" { read y : V  limit y at most 3 V }
    fault leak "Leak" { part seal  shows b high always }
  }
}
record "r" of unit { serial "` + serial + `" judge 2026-03-02 taken b.y 4 V }`
		v := judged(t, sheet)
		c, ok := v.Last().Check("b.y")
		require.True(t, ok)
		require.Equal(t, want, c.Result(), serial)
		_, ok = v.Last().Fault("leak")
		require.Equal(t, want == eval.Fail, ok, serial)
	}
}

// TestTwoVariantsLeaveOutOneThing: each of them does.
func TestTwoVariantsLeaveOutOneThing(t *testing.T) {
	sheet := func(size, suffix string) string {
		return `brushgear 1
family unit "Unit" {
  attribute size : small | large
  attribute suffix : text
  part casing "Casing"
  test a "A" { read x : V  limit x at most 3 V }
  test b "B" { read y : V  limit y at most 3 V }
  fault f "F" { part casing  shows a high always }
  variant tiny "Tiny" when size is small { without fault f without test b }
  variant odd "Odd" when suffix is "Z" { without fault f without test b }
}
record "r" of unit { set size ` + size + ` set suffix "` + suffix + `" judge 2026-03-02 taken a.x 4 V taken b.y 2 V }`
	}
	for _, test := range []struct {
		size, suffix string
		there        bool
	}{{"small", "A", false}, {"large", "Z", false}, {"small", "Z", false}, {"large", "A", true}} {
		v := judged(t, sheet(test.size, test.suffix))
		_, ok := v.Last().Fault("f")
		require.Equal(t, test.there, ok, "%s %s", test.size, test.suffix)
		c, _ := v.Last().Check("b.y")
		require.Equal(t, test.there, c.Result() == eval.Pass, "%s %s: %v", test.size, test.suffix, c.Result())
	}
}

// TestEditionOfTheDay: the judge date picks the edition.
func TestEditionOfTheDay(t *testing.T) {
	for day, want := range map[string]eval.Result{"2010-12-31": eval.Fail, "2011-01-01": eval.Pass} {
		e := explained(t, layered(t, `serial "K1" judge `+day+` taken b.y 15 A`), "b.y")
		require.Equal(t, want, e.Result, day)
	}
}

func TestNoEditionInForce(t *testing.T) {
	sheet := strings.Replace(layersSheet, "  limit b.y at most 10 A per old\n", "", 1) + `record "r" of unit { serial "K1" judge 2009-01-01 taken b.y 15 A }`
	e := explained(t, judged(t, sheet), "b.y")
	require.Equal(t, eval.NotDecidable, e.Result)
	require.Contains(t, e.Why, "no edition of its limit is in force on 2009-01-01")
}

// TestEditionOfASetValue: a value that is set under dated sources is that of the day.
func TestEditionOfASetValue(t *testing.T) {
	for day, want := range map[string]eval.Result{"2010-12-31": eval.Fail, "2011-01-01": eval.Pass} {
		sheet := `brushgear 1
source old "Old sheet" until 2010-12-31
source recent "Recent sheet" from 2011-01-01
family unit "Unit" {
  attribute rated : A
  set rated 40 A per old
  under recent { set rated 60 A }
  test a "A" { read x : A  limit x within rated ± 10 % }
}
record "r" of unit { judge ` + day + ` taken a.x 58 A }`
		require.Equal(t, want, checked(t, sheet, "a.x").Result(), day)
	}
}

// TestReplaceAndWithout: a later layer puts a whole test in the place of another, or takes it away.
func TestReplaceAndWithout(t *testing.T) {
	sheet := `brushgear 1
kind base "Base" {
  test a "A" { read x : V  limit x at most 1 V }
  test b "B" { read y : V  limit y at most 1 V }
}
family unit "Unit" of base {
  replace test a "A, wide" { read x : V  limit x at most 9 V }
  without test b
  test c "C" { read y : V  limit y at most 1 V }
}
record "r" of unit { judge 2026-03-02 taken a.x 5 V }`
	v := judged(t, sheet)
	c, ok := v.Last().Check("a.x")
	require.True(t, ok)
	require.Equal(t, eval.Pass, c.Result())
	_, ok = v.Last().Check("b.y")
	require.False(t, ok)
}

func TestFamilyStandsAlone(t *testing.T) {
	sheet := `brushgear 1
family unit { test a "A" { read x : V  limit x at most 1 V } }
record "r" of unit { judge 2026-03-02 taken a.x 0.5 V }`
	require.Equal(t, eval.Pass, checked(t, sheet, "a.x").Result())
}

// TestShopOverSeveralFamilies: what a shop says counts for the families that have it; a name that none has is pointed out.
func TestShopOverSeveralFamilies(t *testing.T) {
	sheet := `brushgear 1
family one "One" { attribute size : small | large  part seal "Seal"  test a "A" { read x : V  limit x at most 3 V } }
family two "Two" { test b "B" { read y : V  limit y at most 3 V } }
shop strict "Strict" {
  limit a.x at most 1 V
  limit b.y at most 1 V
  set size small
  release a, b
  renew seal
  limit a.z at most 1 V
  limit c.x at most 1 V
  set colour "red"
  release c
  renew bush
}
`
	_, all := findings(t, sheet)
	require.Equal(t, []string{
		"test.sheet:10:9: no family here has a.z; mend the name, or leave this out [unknown-name]",
		"test.sheet:11:9: no family here has c.x; mend the name, or leave this out [unknown-name]",
		"test.sheet:12:7: no family here has colour; mend the name, or leave this out [unknown-name]",
		"test.sheet:13:11: no family here has c; mend the name, or leave this out [unknown-name]",
		"test.sheet:14:9: no family here has bush; mend the name, or leave this out [unknown-name]",
	}, strings.Split(all, "\n"))
	v := judgedWith(t, sheet+`record "r" of two { judge 2026-03-02 taken b.y 2 V }`, eval.InShop("strict"))
	require.Equal(t, eval.Fail, explained(t, v, "b.y").Result)
}

func TestIncludeTwiceAndWhen(t *testing.T) {
	sheet := func(nominal string) string {
		return `brushgear 1
kind cell "Cell" { attribute size : A  test rest "Rest" { read volts : V  limit volts at least 12.4 V } }
kind set "Set" {
  attribute nominal : 12 V | 24 V
  include cell as front
  include cell as rear when nominal is 24 V
  test run "Run" { needs front.rest is good  read amps : A  limit amps within front.size ± 10 % }
  require front.size equals rear.size "front and rear differ"
}
family cell_60 "Cell 60" of cell { set size 60 A }
family cell_80 "Cell 80" of cell { set size 80 A }
family unit "Set" of set { set nominal ` + nominal + ` }
record "r" of unit {
  unit front is cell_60
`
	}
	v := judged(t, sheet("24 V")+`unit rear is cell_80 judge 2026-03-02 taken front.rest.volts 12.6 V taken rear.rest.volts 12.0 V taken run.amps 63 A }`)
	for name, want := range map[string]eval.Result{"front.rest.volts": eval.Pass, "rear.rest.volts": eval.Fail, "run.amps": eval.Pass} {
		c, ok := v.Last().Check(name)
		require.True(t, ok, name)
		require.Equal(t, want, c.Result(), name)
	}
	require.Contains(t, v.Explain().Facts, "front and rear differ")

	v = judged(t, sheet("12 V")+`judge 2026-03-02 taken front.rest.volts 12.6 V }`)
	_, ok := v.Last().Check("rear.rest.volts")
	require.False(t, ok, "a 12 V set has no second cell")
}

func TestFindingsOfLayers(t *testing.T) {
	requireSlips(t, []slip{
		{"a kind that is none", "brushgear 1\nfamily unit \"Unit\" of ^bases { }\nkind base \"Base\" { }", dsl.CodeUnknownName, "did you mean base?"},
		{"kinds in a circle", "brushgear 1\nkind a \"A\" of ^b { }\nkind b \"B\" of a { }\nkind c \"C\" of a { }", dsl.CodeCircle, "kind a is built on itself, by way of b"},
		{"a kind that includes itself", "brushgear 1\nkind ^a \"A\" { include a as b }", dsl.CodeCircle, "break the circle"},
		{"two kinds", "brushgear 1\nkind a \"A\" { }\nkind ^a \"A\" { }", dsl.CodeDuplicateName, "give one another name"},
		{"a shop of a kind", "brushgear 1\nkind a \"A\" { }\nshop s \"S\" of ^a { }", dsl.CodeMisplaced, "its rules hold for every family"},
		{"a statement at the top", "brushgear 1\n^part rotor \"Rotor\"", dsl.CodeMisplaced, "move it into the kind"},
		{"a test again in a family", "brushgear 1\nkind k \"K\" { test a \"A\" { read x : V } }\nfamily f \"F\" of k { test ^a \"A\" { read x : V } }", dsl.CodeNeedsReplace, "write replace test"},
		{"a source that ends first", "brushgear 1\n^source s \"S\" from 2011-01-01 until 2010-01-01", dsl.CodeDates, "exchange the dates"},
		{"two sources", "brushgear 1\nsource s \"S\"\nsource ^s \"Other\"", dsl.CodeDuplicateName, "declare it once"},
		{"two sources with other dates", "brushgear 1\nsource s \"S\" from 2011-01-01\nsource ^s \"S\" from 2012-01-01", dsl.CodeDuplicateName, "and they differ"},
		{"tests in a circle by a shop", "brushgear 1\nfamily f \"F\" { test a \"A\" { read x : V limit x at most 3 V } test ^b \"B\" { needs a is good read x : V limit x at most 3 V } }\nshop s \"S\" { replace test a \"A\" { needs b is good read x : V limit x at most 3 V } }", dsl.CodeCircle, "break the circle"},
		{"tests in a circle", "brushgear 1\nkind k \"K\" {\ntest ^a \"A\" { needs b is good read x : V limit x at most 3 V }\ntest b \"B\" { needs a is good read x : V limit x at most 3 V } }", dsl.CodeCircle, "break the circle"},
	}, whole)
	requireSlips(t, []slip{
		{"a kind in a family", "^kind other_kind \"K\" { }", dsl.CodeMisplaced, "move it to the top of a file"},
		{"a record in a family", "^record \"r\" of unit { }", dsl.CodeMisplaced, "move it to the top of a file"},
		{"two tests", "test ^t \"T\" { read x : V }", dsl.CodeDuplicateName, "give one another name"},
		{"replaces what is not there", "replace test ^zz \"Z\" { read x : V }", dsl.CodeUnknownName, "leave replace out"},
		{"replaces its own", "replace test ^t \"T\" { read x : V }", dsl.CodeDuplicateName, "give one another name"},
		{"leaves out its own", "^without test t", dsl.CodeMisplaced, "delete the declaration"},
		{"leaves out what is not there", "without test ^look2", dsl.CodeUnknownName, "did you mean look?"},
		{"leaves out a limit", "without limit ^t.x", dsl.CodeUnknownName, "a limit is overridden by a limit"},
		{"a variant leaves out a part", "variant v \"V\" when size is small { ^without part rotor }", dsl.CodeMisplaced, "tests and faults only"},
		{"a variant replaces a test", "variant v \"V\" when size is small { replace ^test t \"T\" { read z : V } }", dsl.CodeMisplaced, "a family of its own"},
		{"a variant decides", "variant v \"V\" when size is small { ^decide guard 2 u }", dsl.CodeMisplaced, "a family of its own"},
		{"a variant releases", "variant v \"V\" when size is small { under recent { ^release t } }", dsl.CodeMisplaced, "a family of its own"},
		{"a variant has a polarity", "variant v \"V\" when size is small { ^polarity positive }", dsl.CodeMisplaced, "a family of its own"},
		{"a variant requires", "variant v \"V\" when size is small { ^require nominal is 12 V \"no\" }", dsl.CodeMisplaced, "leave out the others by or"},
		{"a variant includes", "variant v \"V\" when size is small { ^include cell as third }", dsl.CodeMisplaced, "with the condition of the variant"},
		{"a variant in a variant", "variant v \"V\" when size is small { variant ^w \"W\" when nominal is 12 V { } }", dsl.CodeMisplaced, "join the two conditions by and"},
		{"two variants of a name", "variant v \"V\" when size is small { }\nvariant ^v \"V\" when size is large { }", dsl.CodeDuplicateName, "give one another name"},
		{"a variant by a reading", "variant v \"V\" when ^t.x above 3 V { }", dsl.CodeMisplaced, "known before any reading"},
		{"includes what is not there", "include ^cel as other_cell", dsl.CodeUnknownName, "known here: cell"},
		{"includes twice under a name", "include cell as ^front", dsl.CodeDuplicateName, "two included units front"},
		{"includes under the name of a test", "include cell as ^t", dsl.CodeDuplicateName, "there is a test t"},
		{"includes by a reading", "include cell as third when ^t.x above 3 V", dsl.CodeMisplaced, "known before any reading"},
		{"renews outside of a shop", "^renew rotor", dsl.CodeMisplaced, "write it in shop"},
		{"an unknown source around limits", "under ^nowhere { limit t.y at most 3 A when size is small }", dsl.CodeUnknownName, "known here: later, old, recent"},
	}, func(decl string) string {
		if strings.Contains(decl, "nowhere") { // the family has a limit of t.y already
			return strings.Replace(inFamily(decl), "limit y at most 3 A\n    read d", "\n    read d", 1)
		}
		return inFamily(decl)
	})
}

// TestFindingsOfEditions: of one limit exactly one edition is in force on a day.
func TestFindingsOfEditions(t *testing.T) {
	requireSlips(t, []slip{
		{"a gap", "read x : V\nlimit x at most 1 V per old\n^limit x at most 2 V per later", dsl.CodeDates, "in force from 2011-01-01 to 2011-01-31"},
		{"the last edition ends", "read x : V\n^limit x at most 1 V per old", dsl.CodeDates, "no edition of this limit is in force after 2010-12-31"},
		{"a gap under a condition", "read x : V\nlimit x at most 1 V when size is small per old\n^limit x at most 2 V when size is small per later", dsl.CodeDates, "no edition of this limit"},
		{"an overlap", "read x : V\nlimit x at most 1 V per recent\n^limit x at most 2 V per later", dsl.CodeLimitConflict, "sources with separate dates"},
		{"one without dates beside one with", "read x : V\nlimit x at most 1 V\n^limit x at most 2 V per later", dsl.CodeLimitConflict, "sources with separate dates"},
		{"an unknown source", "read x : V\nlimit x at most 1 V per ^older", dsl.CodeUnknownName, "known here: later, old, recent"},
	}, inTest)
	requireSlips(t, []slip{
		{"a gap in a value", "set rated 3 A per old\n^set rated 4 A per later", dsl.CodeDates, "no edition of this value is in force from 2011-01-01 to 2011-01-31"},
		{"an overlap of values", "set rated 3 A per recent\n^set rated 4 A per later", dsl.CodeDuplicateName, "set twice"},
		{"an unknown source of a value", "set rated 3 A per ^nowhere", dsl.CodeUnknownName, "known here: later, old, recent"},
	}, inFamily)
	requireSound(t, map[string]string{
		"one after the other":                             "read x : V\nlimit x at most 1 V per old\nlimit x at most 2 V per recent",
		"by different states":                             "read x : V\nlimit x at most 1 V when size is small per old\nlimit x at most 2 V when size is large per later",
		"values after another":                            "read x : V\nlimit x at most 1 V per old\nlimit x at most 2 V per recent\napplies when size is small",
		"one edition that ends beside another that lasts": "read x : V\nlimit x at most 1 V when size is small per old\nlimit x at most 2 V when size is large per later",
	}, inTest)
}
