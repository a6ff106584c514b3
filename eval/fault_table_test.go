package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

const bridgeSheet = `brushgear 1
kind bridge "Bridge" {
  attribute sets : single | doubled
  positions side "side" : plus, minus
  positions phase "phase" : u, v, w
  part plate "Plate"
  remedy fit "Fit a bridge" { retest drop }
  test drop "Drop, each way" {
    read volts of side, phase : V
    limit volts 0.3 V to 0.8 V
  }
  test leak "Leak, hot" {
    echoes drop
    read amps : A
    limit amps at most 1 A
  }
  test stud "Stud to frame" {
    read path : closed | blocks
    limit path is blocks
  }
  fault open of side, phase "Diode open" {
    part plate  occurs common
    shows drop.volts[side, phase] high always
    shows stud closed 0.25 when side is plus
    shows stud any when side is minus and sets is doubled
    remedy fit
  }
  fault bridged "Insulation bridged" {
    part plate  occurs rare
    masks drop for open
    shows stud closed usually
    remedy fit
  }
}
family bridge_6 "Bridge, six" of bridge { set sets single }
`

// TestFaultTable reads a small table: positions that show the same are folded, conditions are decided as far as the sheet decides them.
func TestFaultTable(t *testing.T) {
	b := mustBench(t, bridgeSheet)
	table, err := b.FaultTable("bridge_6")
	require.NoError(t, err)
	require.Equal(t, []string{"drop.volts", "leak.amps", "stud.path"}, names(table))
	require.Equal(t, []string{"open[plus]", "open[minus]", "bridged"}, rows(table))
	require.Equal(t, 3, table.Faults[0].Places)
	require.Equal(t, "common", table.Faults[0].Frequency)
	require.Equal(t, []eval.TableShow{{Outcomes: []string{"high"}, Strength: "always", Sure: 0.99, Where: "here"}}, table.Faults[0].Cells[0].Shows)
	require.Equal(t, []eval.TableShow{{Outcomes: []string{"closed"}, Strength: "0.25", Sure: 0.25}}, table.Faults[0].Cells[2].Shows)
	require.True(t, table.Faults[1].Cells[2].Silent(), "doubled sets only")
	require.Equal(t, eval.TableCell{Masked: true, MaskedFor: []string{"open"}}, table.Faults[2].Cells[0])

	kind, err := b.FaultTable("bridge")
	require.NoError(t, err)
	require.Equal(t, []eval.TableShow{{Outcomes: []string{"good", "closed"}, Strength: "any", Sure: 1, When: "side is minus and sets is doubled"}}, kind.Faults[1].Cells[2].Shows)

	_, err = b.FaultTable("brige")
	require.ErrorContains(t, err, "did you mean bridge?")
}

// An echo counts where a fault names the test that is echoed and not the echo: for the check of the same name and outcomes.
func TestFaultTableEchoes(t *testing.T) {
	table, err := mustBench(t, strings.Replace(bridgeSheet, "read amps : A\n    limit amps at most 1 A", "read volts of side, phase : V\n    limit volts 0.3 V to 0.8 V", 1)).FaultTable("bridge_6")
	require.NoError(t, err)
	require.Equal(t, "drop.volts", table.Faults[0].Cells[1].Echoes)
	require.Empty(t, table.Faults[2].Cells[1].Echoes, "it does not name drop")
}

func names(t *eval.FaultTable) []string {
	var list []string
	for _, c := range t.Checks {
		list = append(list, c.Name)
	}
	return list
}

func rows(t *eval.FaultTable) []string {
	var list []string
	for _, f := range t.Faults {
		list = append(list, f.Name)
	}
	return list
}

func ExampleBench_FaultTable() {
	files, err := dsl.ParseFS(examples.FS, "first.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile(files)
	if err != nil {
		fmt.Println(err)
		return
	}
	table, err := bench.FaultTable("lintel_40")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range table.Faults {
		for i, cell := range f.Cells {
			for _, s := range cell.Shows {
				fmt.Println(f.Name, table.Checks[i].Name, strings.Join(s.Outcomes, " or "), s.Strength)
			}
		}
	}
	// Output:
	// field_open field.current low always
	// field_open output.current low always
	// field_open output.volts low always
}
