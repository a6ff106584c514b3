package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
)

const idleTest = `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`

// TestIdleNames: what is declared and never named is worth a hint, wherever it stands.
func TestIdleNames(t *testing.T) {
	requireFlaws(t, []flaw{
		{"a source", `^source sheet_4 "Sheet 4"`, dsl.Hint, dsl.CodeIdleName, "no limit, attribute or law comes from source sheet_4"},
		{"a condition", `^condition ambient : °C`, dsl.Hint, dsl.CodeIdleName, "no test needs condition ambient, and no limit or formula uses it"},
		{"an instrument", `^instrument clamp : A accuracy ± 1 %`, dsl.Hint, dsl.CodeIdleName, "nothing is read with instrument clamp"},
		{"a formula", `test m "M" { read x : V let ^y = 2 * x limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeIdleName, "formula y of test m has no limit, and nothing uses it"},
	})
}

func TestNamesInUse(t *testing.T) {
	requireNothing(t, map[string]string{
		"a source of a value":          `source sheet_4 "Sheet 4" attribute poles : count set poles 6 per sheet_4`,
		"a source around limits":       `source sheet_4 "Sheet 4" test m "M" { read x : V } under sheet_4 { limit m.x at most 2 V } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"a condition that is noted":    `condition ambient : °C test m "M" { needs ambient read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"an instrument of a condition": `instrument gauge : °C accuracy ± 1 K condition ambient : °C with gauge test m "M" { needs ambient read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"an instrument of a record":    `instrument meter_4 : V accuracy ± 0.1 % digit 1 mV ` + idleTest + ` } record "r" of motor_12 { meter m1 is meter_4 pass as found { taken m.x 1 V with m1 }`,
		"a formula of a formula":       `test m "M" { read x : V let y = 2 * x let z = 2 * y limit z at most 8 V per house } fault f "F" { part rotor shows m.z high always remedy fit_rotor }`,
		"a formula of a pattern":       `test m "M" { read x : V let y = 2 * x outcome high when y above 4 V outcome good otherwise } fault f "F" { part rotor shows m high always remedy fit_rotor }`,
		"a formula of another test": `test n "N" { read x : V let y = 2 * x limit x at most 2 V per house } test m "M" { read x : V limit x at most n.y per house }
			fault f "F" { part rotor shows m.x high always shows n.x high always remedy fit_rotor }`,
	})
}

// A kind declares for its families: nothing is said while none is at hand, and what one of them uses is in use.
func TestIdleNamesOfKinds(t *testing.T) {
	const kind = `brushgear 1
source sheet_4 "Sheet 4"
kind motor "Motor" {
  condition ambient : °C
  instrument clamp : A
  part rotor "Rotor"
  test m "M" { read x : V  let y = 2 * x  limit x at most 2 V per sheet_4 }
  fault f "F" { part rotor  shows m.x high always }
}
`
	idle := func(sheet string) (list []string) {
		for _, d := range mustBench(t, sheet).ProveKnowledge() {
			if d.Code == dsl.CodeIdleName {
				list = append(list, d.Message)
			}
		}
		return list
	}
	require.Empty(t, idle(kind))
	const plain, user = `family a "A" of motor {}
`, `family b "B" of motor { test n "N" { needs ambient read i : A with clamp limit i at most 2 A per sheet_4 } limit m.y at most 4 V per sheet_4 }
`
	require.Len(t, idle(kind+plain), 3)
	require.Empty(t, idle(kind+plain+user))
}
