// Package runs shortens lists of positions for people.
package runs

import (
	"fmt"
	"strconv"
)

// shortest is how many numbers in a row are told as a run.
const shortest = 3

// Of puts whole numbers that follow each other into one: 1, 2, 3, 7 is 1 to 3, 7. Other names stay as they are.
func Of(names []string) []string {
	var list []string
	for i := 0; i < len(names); {
		n := 1
		for i+n < len(names) && follows(names[i+n-1], names[i+n]) {
			n++
		}
		if n < shortest {
			list, i = append(list, names[i]), i+1
			continue
		}
		list, i = append(list, fmt.Sprintf("%s to %s", names[i], names[i+n-1])), i+n
	}
	return list
}

func follows(a, b string) bool {
	x, err := strconv.Atoi(a)
	y, err2 := strconv.Atoi(b)
	return err == nil && err2 == nil && y == x+1
}
