package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

// programCache keeps the programs of a Bench, so that jobs on units of which the same is known share one. It is bounded, and safe for
// concurrent use.
type programCache struct {
	mu    sync.Mutex
	bound map[programKey]*program
}

type programKey struct {
	m     *model
	known string
}

// maxPrograms is where the cache starts anew: a shop has units of few kinds at a time.
const maxPrograms = 256

func (c *programCache) get(cfg *configuration) (*program, error) {
	key := programKey{cfg.m, cfg.known()}
	c.mu.Lock()
	p := c.bound[key]
	c.mu.Unlock()
	if p != nil {
		return p, nil
	}
	p, circle := bind(cfg)
	if circle != nil {
		return nil, fmt.Errorf("%s: tests depend on each other in a circle", circle.Pos)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.bound == nil || len(c.bound) >= maxPrograms {
		c.bound = map[programKey]*program{}
	}
	c.bound[key] = p
	return p, nil
}

// known writes down all that a program depends on.
func (cfg *configuration) known() string {
	var b strings.Builder
	for _, unit := range slices.Sorted(maps.Keys(cfg.included)) {
		fmt.Fprintf(&b, "unit %s %s\n", unit, cfg.included[unit].name)
	}
	for _, unit := range slices.Sorted(maps.Keys(cfg.sets)) {
		for _, name := range slices.Sorted(maps.Keys(cfg.sets[unit])) {
			fmt.Fprintf(&b, "set %s %s %q\n", unit, name, cfg.sets[unit][name].shown)
		}
	}
	if cfg.plated() {
		fmt.Fprintf(&b, "serial %q built %d\n", cfg.serial, cfg.built)
	}
	if cfg.m.dated() {
		fmt.Fprintf(&b, "date %d\n", cfg.date)
	}
	var lengths []string
	for a, n := range cfg.sizes {
		lengths = append(lengths, fmt.Sprintf("%s %d", a.src.Pos, n))
	}
	for v, n := range cfg.tables {
		lengths = append(lengths, fmt.Sprintf("%s %d", v.src.Pos, n))
	}
	slices.Sort(lengths)
	b.WriteString(strings.Join(lengths, "\n"))
	return b.String()
}

// plated tells whether anything depends on the serial or the build date.
func (cfg *configuration) plated() bool {
	for _, fam := range cfg.included {
		if fam.plated {
			return true
		}
	}
	return cfg.m.plated
}
