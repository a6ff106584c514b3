package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// Row is one row of a [Table].
type Row struct {
	At, Value units.Quantity
}

// Table is a printed table of one value over another. The rows rise by At.
type Table struct {
	Title, Source string
	Rows          []Row
	// OrLess and OrMore say that the table prints its first row with "or less", its last with "or more": they hold for all beyond. Otherwise
	// there is no value beyond the ends.
	OrLess, OrMore bool
}

// Linear returns the value on the straight line between the two rows next to at, in the unit of the first row.
func (t Table) Linear(at units.Quantity) (units.Quantity, error) {
	var a arguments
	i, x := t.find(&a, at)
	if a.err != nil {
		return units.Quantity{}, a.err
	}
	unit := t.Rows[0].Value
	y := a.value("value of a row", t.Rows[max(i, 0)].Value, unit)
	if i >= 0 && i+1 < len(t.Rows) {
		from, to := t.Rows[i].At.SI(), t.Rows[i+1].At.SI()
		y += (x - from) / (to - from) * (a.value("value of a row", t.Rows[i+1].Value, unit) - y)
	}
	return a.only(y, unit)
}

// Step returns the value of the last row that at reaches, as it is printed.
func (t Table) Step(at units.Quantity) (units.Quantity, error) {
	var a arguments
	i, _ := t.find(&a, at)
	if a.err != nil {
		return units.Quantity{}, a.err
	}
	return t.Rows[max(i, 0)].Value, nil
}

// find returns the last row that at reaches, -1 when it is below all, and at in SI units.
func (t Table) find(a *arguments, at units.Quantity) (row int, x float64) {
	if len(t.Rows) == 0 {
		a.refuse(t.name(), "it has no rows", "write at least one")
		return 0, 0
	}
	first, last := t.Rows[0].At, t.Rows[len(t.Rows)-1].At
	x = a.value(t.name(), at, first)
	row = -1
	for i, r := range t.Rows {
		here := a.value(t.name(), r.At, first)
		if a.err == nil && i > 0 && here <= t.Rows[i-1].At.SI() {
			a.refuse(t.name(), fmt.Sprintf("the row at %v follows the one at %v", r.At, t.Rows[i-1].At), "sort the rows by rising values")
		}
		if x >= here {
			row = i
		}
	}
	if a.err == nil && (x < first.SI() && !t.OrLess || x > last.SI() && !t.OrMore) {
		a.refuse(t.name(), fmt.Sprintf("%v is beyond the rows", at), fmt.Sprintf("write a value from %v to %v, nothing is known of others", first, last))
	}
	return row, x
}

// name is what errors call the table.
func (t Table) name() string {
	if t.Title == "" {
		return "table"
	}
	return t.Title
}

// table makes a table of pairs of texts.
func table(title, source string, pairs ...[2]string) Table {
	t := Table{Title: title, Source: source}
	for _, p := range pairs {
		t.Rows = append(t.Rows, Row{units.Must(p[0]), units.Must(p[1])})
	}
	return t
}

// VoltageTable returns the state of charge over the open-circuit voltage of a flooded lead-acid battery of six cells, near 25 °C, surface
// charge removed.
//
// Source: TM 5-3805-262-20, page 5-142.
func VoltageTable() Table {
	t := table("state of charge by voltage", "TM 5-3805-262-20, page 5-142",
		[2]string{"11.7 V", "0 %"}, [2]string{"12.0 V", "25 %"}, [2]string{"12.2 V", "50 %"}, [2]string{"12.4 V", "75 %"},
		[2]string{"12.6 V", "100 %"})
	t.OrLess, t.OrMore = true, true
	return t
}

// GravityTable returns the state of charge over the specific gravity at 80 °F of a lead-acid battery that is full at 1.265. Batteries for
// the tropics are full at less, others at more: that is data of the battery.
//
// Source: TM 5-4210-230-14&P-1, Table 2.
func GravityTable() Table {
	return table("state of charge by gravity", "TM 5-4210-230-14&P-1, Table 2",
		[2]string{"1.120", "0 %"}, [2]string{"1.155", "25 %"}, [2]string{"1.190", "50 %"}, [2]string{"1.225", "75 %"}, [2]string{"1.265", "100 %"})
}

// FreezingTable returns the freezing point over the specific gravity at 80 °F of the acid.
//
// Source: TM 5-4210-230-14&P-1, Table 2.
func FreezingTable() Table {
	return table("freezing point by gravity", "TM 5-4210-230-14&P-1, Table 2",
		[2]string{"1.120", "15 °F"}, [2]string{"1.155", "5 °F"}, [2]string{"1.190", "-15 °F"}, [2]string{"1.225", "-35 °F"},
		[2]string{"1.265", "-75 °F"})
}

// CrankingTable returns the share of the cranking power at 80 °F that a full battery has at other temperatures.
//
// Source: TM 5-4210-230-14&P-1, Table 3.
func CrankingTable() Table {
	return table("cranking power by temperature", "TM 5-4210-230-14&P-1, Table 3",
		[2]string{"-20 °F", "20 %"}, [2]string{"0 °F", "40 %"}, [2]string{"32 °F", "65 %"}, [2]string{"80 °F", "100 %"})
}

// StateOfCharge returns the state of charge from the open-circuit voltage of a battery of so many cells, each taken as a sixth of
// [VoltageTable], between the rows on the straight line. Two batteries of 12 V in a set of 24 V are measured one by one, six cells each.
//
// Source: as for [VoltageTable]; the straight line is common practice, no source.
func StateOfCharge(cells int, openCircuit units.Quantity) (units.Quantity, error) {
	var a arguments
	n := a.count("cells", cells, 1)
	v := a.quantity(a.notNegative("open-circuit voltage", openCircuit, volts)*6/n, volts)
	if a.err != nil {
		return units.Quantity{}, a.err
	}
	return VoltageTable().Linear(v)
}
