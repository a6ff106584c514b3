package examples_test

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/examples"
)

const shop = "quayside"

// verdict is what one pass is expected to say. Checks that are not listed are expected to have passed, or to say nothing.
type verdict struct {
	unit   eval.UnitWord
	checks map[string]eval.Result // by the name of the check
	shown  []string               // faults
}

// A moment is a pass of a record.
type moment struct {
	record string
	pass   int
}

var verdicts = map[moment]verdict{
	{"J-1", 0}: {
		unit:   eval.LimitsFailed,
		checks: map[string]eval.Result{"field.current": eval.Fail, "output.current": eval.Fail, "output.volts": eval.Fail},
		shown:  []string{"field_open"},
	},
	{"J-2041", 0}: {unit: eval.LimitsMet},
	// Today's edition and house rule would fail the voltage and the brushes: see TestEdition.
	{"J-0977", 0}: {
		unit:   eval.LimitsMet,
		checks: map[string]eval.Result{"brushes.left[insulated]": eval.Marginal, "brushes.left[other]": eval.Marginal},
	},
	{"J-2044", 0}: {
		unit:   eval.LimitsFailed,
		checks: map[string]eval.Result{"through_brushes.current": eval.Fail, "output.level": eval.Fail},
	},
	{"J-2044", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"through_brushes.current": eval.Fail, "output.level": eval.Fail, "field_ground.lamp": eval.Fail, "ring_ground": eval.Fail,
			"brushes.left[insulated]": eval.Marginal, "brushes.left[other]": eval.Marginal,
		},
		shown: []string{"brush_grounded"},
	},
	{"J-2061", 0}: {
		unit:   eval.LimitsFailed,
		checks: map[string]eval.Result{"through_brushes.current": eval.Fail, "output.level": eval.Fail},
	},
	{"J-2061", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"through_brushes.current": eval.Fail, "output.level": eval.Fail, "field_ground.lamp": eval.Fail, "ring_ground": eval.Fail,
		},
		shown: []string{"field_grounded"},
	},
	{"J-2052", 0}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"stud_frame": eval.Fail, "drain.current": eval.Fail, "output.level": eval.Fail, "regulated.volts": eval.Fail, "ripple": eval.Fail, "noise": eval.Fail,
		},
	},
	{"J-2052", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"stud_frame": eval.Fail, "drain.current": eval.Fail, "output.level": eval.Fail, "regulated.volts": eval.Fail, "ripple": eval.Fail, "noise": eval.Fail,
			"diode_flow.plus.alike": eval.Fail, "diodes.drop.forward[plus, v]": eval.Fail, "diodes.drop.back[plus, v]": eval.Fail,
			"diodes.drop.forward.alike": eval.Fail, "diodes": eval.Fail,
		},
		shown: []string{"diode_shorted[plus, v]"},
	},
	{"J-2047", 0}: {
		unit:   eval.LimitsFailed,
		checks: map[string]eval.Result{"through_brushes.current": eval.Fail, "output.level": eval.Fail},
	},
	{"J-2047", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"through_brushes.current": eval.Fail, "output.level": eval.Fail, "rings.look": eval.Fail,
			"brushes.left[insulated]": eval.Fail, "brushes.left[other]": eval.Marginal,
		},
		shown: []string{"brushes_worn", "rings_dirty"},
	},
	{"J-2047", 2}: {unit: eval.LimitsMet},
	{"J-2058", 0}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"by_hand.turns": eval.NotDecidable, "through_brushes.current": eval.Fail, "output.level": eval.Fail, "ripple": eval.NotDecidable,
		},
	},
	{"J-2058", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"by_hand.turns": eval.NotDecidable, "through_brushes.current": eval.Fail, "output.level": eval.Fail, "ripple": eval.NotDecidable,
			"ring_field.current": eval.NotDecidable, "brushes.left[insulated]": eval.Marginal, "brushes.left[other]": eval.NotDecidable,
			"brushes.slide[other]": eval.Fail, "trio_diodes": eval.NotDecidable, "capacity.value": eval.NotDecidable,
		},
		shown: []string{"brush_stuck"},
	},
	{"J-3011", 0}: {unit: eval.LimitsMet},
	{"J-3014", 0}: {
		unit:   eval.LimitsFailed,
		checks: map[string]eval.Result{"sound.heard": eval.Fail, "hold_in.current": eval.Fail},
		shown:  []string{"hold_in_open"},
	},
	{"J-3019", 0}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"contact_drop.drop": eval.Marginal, "free_run.current": eval.Fail, "free_run.speed": eval.Fail, "free_run": eval.Fail,
		},
	},
	{"J-3019", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"contact_drop.drop": eval.Marginal, "free_run.current": eval.Fail, "free_run.speed": eval.Fail, "free_run": eval.Fail,
			"comm_look.look": eval.Fail, "brushes.left[b1]": eval.Fail, "brushes.left[b2]": eval.Fail, "brushes.left[b3]": eval.Fail,
			"brushes.left[b4]": eval.Fail, "bar_to_bar.drop.alike": eval.Fail, "bar_to_bar.highest_bar": eval.Fail,
			"runout.tir": eval.Marginal, "undercut.depth": eval.Fail,
		},
		shown: []string{"brushes_worn", "armature_open", "comm_rough"},
	},
	{"J-3019", 2}: {unit: eval.LimitsMet, checks: map[string]eval.Result{"contact_drop.drop": eval.Marginal}},
	{"J-3027", 0}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"clutch.feel": eval.NotDecidable, "pull_in.current": eval.Fail, "hold_in.current": eval.NotDecidable, "seat.volts": eval.NotDecidable,
			"release_test.plunger": eval.NotDecidable, "free_run.current": eval.Fail, "free_run.speed": eval.Fail, "free_run": eval.Fail,
		},
		shown: []string{"pull_in_shorted"},
	},
	{"J-3027", 1}: {
		unit: eval.LimitsFailed,
		checks: map[string]eval.Result{
			"clutch.feel": eval.NotDecidable, "pull_in.current": eval.Fail, "hold_in.current": eval.NotDecidable, "seat.volts": eval.NotDecidable,
			"release_test.plunger": eval.NotDecidable, "free_run.current": eval.Fail, "free_run.speed": eval.Fail, "free_run": eval.Fail,
			"brushes.left[b1]": eval.Marginal, "brushes.left[b2]": eval.Marginal, "brushes.left[b3]": eval.NotDecidable, "brushes.left[b4]": eval.Marginal,
			"brushes.slide[b1]": eval.NotDecidable, "brushes.slide[b2]": eval.NotDecidable, "brushes.slide[b3]": eval.NotDecidable,
			"brushes.slide[b4]": eval.NotDecidable, "springs.force[b3]": eval.Fail, "springs.force[b4]": eval.NotDecidable,
			"springs.force.alike": eval.NotDecidable, "undercut.depth": eval.Fail,
		},
		shown: []string{"pull_in_shorted", "spring_weak", "comm_rough"},
	},
}

func TestRecords(t *testing.T) {
	bench, records := compile(t)
	judged := map[moment]bool{}
	for _, r := range records {
		if len(r.Expectation) > 0 {
			continue
		}
		v := judge(t, bench, r)
		pass := 0
		for p := range v.Passes() {
			m := moment{r.Name, pass}
			pass++
			judged[m] = true
			want, ok := verdicts[m]
			require.True(t, ok, "no verdict is expected of %v", m)
			t.Run(fmt.Sprint(r.Name, " ", p.Round().Stage), func(t *testing.T) { want.check(t, p) })
		}
	}
	require.Len(t, judged, len(verdicts), "every expected verdict belongs to a record")
}

func (want verdict) check(t *testing.T, p eval.PassVerdict) {
	checks := map[string]eval.Result{}
	for c := range p.Checks() {
		switch r := c.Result(); r {
		case eval.Fail, eval.Marginal, eval.NotDecidable, eval.NotValid:
			checks[c.Name()] = r
		}
	}
	var shown []string
	for f := range p.Faults() {
		if f.Status() == diagnosis.Shown {
			shown = append(shown, f.Name())
		}
	}
	if want.checks == nil {
		want.checks = map[string]eval.Result{}
	}
	require.Equal(t, want.unit, p.Limits())
	require.Equal(t, want.checks, checks)
	require.Equal(t, want.shown, shown)
}

// A unit is judged by the edition of its day: the same readings fail twenty years later.
func TestEdition(t *testing.T) {
	bench, records := compile(t)
	for _, r := range records {
		if r.Name != "J-0977" {
			continue
		}
		then := judge(t, bench, r).Last()
		r.Judge = "2026-03-02"
		now := judge(t, bench, r).Last()
		for name, results := range map[string][2]eval.Result{
			"regulated.volts":         {eval.Pass, eval.Fail},
			"brushes.left[insulated]": {eval.Marginal, eval.Fail},
		} {
			require.Equal(t, results[0], result(t, then, name), name)
			require.Equal(t, results[1], result(t, now, name), name)
		}
		return
	}
	require.Fail(t, "there is no record J-0977")
}

func result(t *testing.T, p eval.PassVerdict, check string) eval.Result {
	c, ok := p.Check(check)
	require.True(t, ok, "no check %s", check)
	return c.Result()
}

// The first sheet stands alone, and its record says the day by its pass only.
func TestFirst(t *testing.T) {
	files, err := dsl.ParseFS(examples.FS, "first.sheet")
	require.NoError(t, err)
	require.Len(t, files, 1)
	bench, err := eval.Compile(files)
	require.NoError(t, err)
	require.Empty(t, bench.Warnings())
	src, err := fs.ReadFile(examples.FS, "first.record.sheet")
	require.NoError(t, err)
	file, err := dsl.Parse("first.record.sheet", src)
	require.NoError(t, err)
	records, err := eval.ReadRecords(file)
	require.NoError(t, err)
	require.Len(t, records, 1)
	require.Empty(t, records[0].Judge)
	job, err := bench.Load(records[0])
	require.NoError(t, err)
	v, err := job.Judge(context.Background())
	require.NoError(t, err)
	verdicts[moment{"J-1", 0}].check(t, v.Last())
}

// The examples are laid out as the formatter lays them out.
func TestFormat(t *testing.T) {
	for _, name := range sheets(t) {
		src, err := fs.ReadFile(examples.FS, name)
		require.NoError(t, err)
		out, err := dsl.Format(name, src)
		require.NoError(t, err)
		require.Equal(t, string(src), string(out), name)
	}
}

func sheets(t testing.TB) []string {
	var names []string
	err := fs.WalkDir(examples.FS, ".", func(name string, _ fs.DirEntry, err error) error {
		if path.Ext(name) == ".sheet" {
			names = append(names, name)
		}
		return err
	})
	require.NoError(t, err)
	return names
}

func compile(t testing.TB) (*eval.Bench, []*eval.Record) {
	files, err := dsl.ParseFS(examples.FS, sheets(t)...)
	require.NoError(t, err)
	bench, err := eval.Compile(files)
	require.NoError(t, err)
	require.Empty(t, bench.Warnings())
	records, err := bench.Records()
	require.NoError(t, err)
	names, err := fs.Glob(examples.FS, "records/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		data, err := fs.ReadFile(examples.FS, name)
		require.NoError(t, err)
		r, err := eval.ReadRecord(data)
		require.NoError(t, err, name)
		records = append(records, r)
	}
	return bench, records
}

// judge judges a record by the rules of the shop, if it is a unit that the shop works on.
func judge(t testing.TB, bench *eval.Bench, r *eval.Record) *eval.Verdict {
	var options []eval.Option
	if !strings.HasPrefix(r.Family, "lintel") {
		options = append(options, eval.InShop(shop))
	}
	job, err := bench.Load(r, options...)
	require.NoError(t, err, r.Name)
	v, err := job.Judge(context.Background())
	require.NoError(t, err, r.Name)
	return v
}

func ExampleFS() {
	files, err := dsl.ParseFS(examples.FS, "records/tarnby_brush_ground.sheet") // the record names the sheets it needs
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile(files)
	if err != nil {
		fmt.Println(err)
		return
	}
	records, err := bench.Records()
	if err != nil {
		fmt.Println(err)
		return
	}
	job, err := bench.Load(records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for f := range v.Last().Faults() {
		if f.Status() == diagnosis.Shown {
			fmt.Println(f.Title())
		}
	}
	// Output: Insulated brush or its holder grounded
}
