package eval

import (
	"fmt"
	"strings"
)

// Void takes the last performance of a test that counts out of account, and says why: the prod slipped, for instance. Its readings stay in the
// record, and the test can be taken again. ref is the test, with the name of an included unit in front as in Take. It fails if the test is
// unknown, if nothing was read of it or all is void already, or if the reason is empty or blank. A verdict given before does not change.
func (j *Job) Void(ref, reason string) error {
	unit, rest := j.split(ref)
	m := j.model(unit)
	name, value, single := strings.Cut(rest, ".")
	t := m.testNamed[name]
	switch {
	case t == nil:
		return fmt.Errorf("void %s: there is no test %s; %s", ref, name, suggest(name, testNames(m)))
	case single:
		test := strings.TrimSuffix(ref, "."+value)
		return fmt.Errorf("void %s: all that was read of a test in one go is void together; name the test alone: %s", ref, test)
	case strings.TrimSpace(reason) == "":
		return fmt.Errorf("void %s: the reason is blank; say why it does not count, such as: prod slipped", ref)
	}
	read := false
	for i := len(j.perfs) - 1; i >= 0; i-- {
		old := j.perfs[i]
		if old.test != t || old.unit != unit {
			continue
		}
		if read = true; old.void != "" {
			continue
		}
		p := *old // a verdict may hold the old one
		p.void = reason
		j.perfs[i], j.dirty = &p, true
		return nil
	}
	if read {
		return fmt.Errorf("void %s: all that was read of it is void already", ref)
	}
	return fmt.Errorf("void %s: nothing was read of it", ref)
}
