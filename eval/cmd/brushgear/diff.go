package main

import (
	"fmt"
	"strings"
)

// around is how many lines that stay are shown around those that change.
const around = 3

// unified returns the difference of two texts line by line, in the unified form that diff -u writes and patch reads. It is empty if they are
// the same.
func unified(name, before, after string) string {
	a, b := lines(before), lines(after)
	steps := shortestEdit(a, b)
	var out strings.Builder
	for i := 0; i < len(steps); {
		if steps[i].sign == ' ' {
			i++
			continue
		}
		from := max(0, i-around)
		last := i // the last step that changes something, and is near enough to the one before
		for j := i; j < len(steps) && j <= last+2*around+1; j++ {
			if steps[j].sign != ' ' {
				last = j
			}
		}
		to := min(len(steps), last+around+1)
		if out.Len() == 0 {
			fmt.Fprintf(&out, "--- %s\n+++ %s\n", name, name)
		}
		hunk(&out, steps[from:to])
		i = to
	}
	return out.String()
}

// lines parts a text after each line end.
func lines(text string) []string {
	list := strings.SplitAfter(text, "\n")
	if n := len(list); list[n-1] == "" {
		list = list[:n-1]
	}
	return list
}

// step is one line of a difference: one that stays, goes (-) or comes (+), with its number before and after.
type step struct {
	sign     byte
	text     string
	old, new int
}

func hunk(out *strings.Builder, steps []step) {
	count := func(not byte) int {
		n := 0
		for _, s := range steps {
			if s.sign != not {
				n++
			}
		}
		return n
	}
	olds, news := count('+'), count('-')
	at := func(line, n int) string {
		if n == 0 {
			line-- // of nothing, the line before it
		}
		return fmt.Sprintf("%d,%d", line+1, n)
	}
	fmt.Fprintf(out, "@@ -%s +%s @@\n", at(steps[0].old, olds), at(steps[0].new, news))
	for _, s := range steps {
		out.WriteByte(s.sign)
		out.WriteString(s.text)
		if !strings.HasSuffix(s.text, "\n") {
			out.WriteString("\n\\ No newline at end of file\n")
		}
	}
}

// shortestEdit finds the fewest lines to take and to put: E. W. Myers, An O(ND) difference algorithm and its variations, Algorithmica 1 (1986).
// Texts that differ in more than maxEdits lines are exchanged whole, so that memory stays bounded.
func shortestEdit(a, b []string) []step {
	ends := []map[int]int{} // per number of edits: on each diagonal, how far one comes in a
	furthest := map[int]int{1: 0}
	for d := 0; d <= min(len(a)+len(b), maxEdits); d++ {
		next := map[int]int{}
		for k := -d; k <= d; k += 2 {
			x := furthest[k+1]
			if k != -d && (k == d || furthest[k-1] >= furthest[k+1]) {
				x = furthest[k-1] + 1
			}
			for y := x - k; x < len(a) && y >= 0 && y < len(b) && a[x] == b[y]; x, y = x+1, y+1 {
			}
			next[k] = x
			if x >= len(a) && x-k >= len(b) {
				return backtrack(append(ends, next), a, b)
			}
		}
		ends = append(ends, next)
		furthest = next
	}
	var steps []step
	for i, line := range a {
		steps = append(steps, step{'-', line, i, 0})
	}
	for i, line := range b {
		steps = append(steps, step{'+', line, len(a), i})
	}
	return steps
}

const maxEdits = 2000

// backtrack follows the ends of the paths from the last line to the first.
func backtrack(ends []map[int]int, a, b []string) []step {
	var back []step
	x, y := len(a), len(b)
	for d := len(ends) - 1; d >= 0; d-- {
		k := x - y
		var px, py int
		if d > 0 {
			before := ends[d-1]
			pk := k - 1
			if k == -d || k != d && before[k-1] < before[k+1] {
				pk = k + 1
			}
			px = before[pk]
			py = px - pk
		}
		for x > px && y > py {
			x, y = x-1, y-1
			back = append(back, step{' ', a[x], x, y})
		}
		switch {
		case d == 0:
		case x > px:
			x--
			back = append(back, step{'-', a[x], x, y})
		default:
			y--
			back = append(back, step{'+', b[y], x, y})
		}
	}
	steps := make([]step, len(back))
	for i, s := range back {
		steps[len(back)-1-i] = s
	}
	return steps
}
