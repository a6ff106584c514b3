package dsl

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// hostileInputs are made to exhaust the stack, the memory or the patience of a parser. All but the largest have the given size.
func hostileInputs(size int) map[string]string {
	const head = "brushgear 1\n"
	fill := func(before, unit, after string) string {
		room := size - len(head) - len(before) - len(after)
		return head + before + strings.Repeat(unit, room/len(unit)) + after
	}
	return map[string]string{
		"round brackets":             fill("require ", "(", ""),
		"round brackets, closed":     head + "require " + strings.Repeat("(", size/4) + "a" + strings.Repeat(")", size/4),
		"square brackets":            fill("limit x", "[", ""),
		"calls":                      fill("require ", "f(", ""),
		"not":                        fill("require ", "not ", "a \"m\""),
		"each":                       fill("require ", "each ", "a \"m\""),
		"sums in brackets":           fill("require ", "1 + (", ""),
		"sums":                       fill("require ", "a + ", "a \"m\""),
		"alternatives":               fill("require a is b", " | b", " \"m\""),
		"minuses":                    fill("let x = ", "- ", ""),
		"signs":                      fill("let x = ", "-1", ""),
		"braces":                     fill("", "{", ""),
		"closing braces":             fill("", "}", ""),
		"closing braces on lines":    fill("", "}\n", ""),
		"blocks":                     fill("", "kind a {\n", ""),
		"blocks on one line":         fill("", "kind a { ", ""),
		"tests in kinds":             fill("kind a {\n", "test t \"T\" {\n", ""),
		"misfits":                    fill("", "kind a {\n kind b {\n}\n", ""),
		"replace":                    fill("", "replace ", ""),
		"commas":                     fill("", ",", ""),
		"commas in a list":           fill("needs a", ", a", ""),
		"members":                    fill("record \"r\" of f { taken a (", "1 ", "V) }"),
		"points":                     fill("limit a", ".a", " 5 V"),
		"digits":                     fill("set x ", "1", ""),
		"digits in groups":           fill("set x ", "1 000 ", ""),
		"decimal commas":             fill("", "1,1\n", ""),
		"fractions":                  fill("set x ", "1/", "1"),
		"minus in numbers":           fill("set x ", "1-", "1"),
		"unit of many parts":         fill("limit x 5 ", "a/", "a"),
		"units of many parts":        fill("limit x 5 ", "V/V/V/V/V/V/V/", "a"),
		"powers":                     fill("attribute x : ", "V^", ""),
		"unknown units":              numbered(size, head, "limit x 5 Vxq"),
		"unknown words":              numbered(size, head, "statemant"),
		"misspelt words":             fill("", "limitt x 5 V\n", ""),
		"bad statements":             fill("", "source s\n", ""),
		"bad statements on one line": fill("", "source s ", ""),
		"dollars":                    fill("", "$", ""),
		"dollars on lines":           fill("", "$\n", ""),
		"nothing":                    fill("", "\x00", ""),
		"nothing in a text":          fill("note \"", "\x00", "\""),
		"broken text":                fill("", "\xff\xc3", ""),
		"quotes":                     fill("", "\"", ""),
		"quotes on lines":            fill("", "\"\n", ""),
		"backslashes":                fill("note \"", "\\", ""),
		"comment":                    fill("# ", "#", ""),
		"comments":                   fill("", "#\n", ""),
		"blanks":                     fill("", " ", ""),
		"carriage returns":           fill("# ", "\r", ""),
		"newlines":                   fill("limit x", "\n", " 5 V"),
		"one long word":              fill("", "a", ""),
		"signs of others":            fill("", "&&\n", ""),
		"glued numbers":              fill("set x ", "5a/", ""),
		"a line of 100 MB":           head + strings.Repeat("a ", 50_000_000),
	}
}

// numbered fills a file with lines that begin alike and end in another number each.
func numbered(size int, head, line string) string {
	var b strings.Builder
	b.WriteString(head)
	letters := []byte("aaaaaaaa")
	for b.Len()+len(line)+10 < size {
		for i := range letters {
			if letters[i]++; letters[i] <= 'z' {
				break
			}
			letters[i] = 'a'
		}
		b.WriteString(line)
		b.Write(letters)
		b.WriteByte('\n')
	}
	return b.String()
}

// Hostile input costs an error and bounded memory; a time that is not linear would not let this test end.
func TestHostileInput(t *testing.T) {
	harmless := map[string]bool{"comment": true, "comments": true, "blanks": true, "carriage returns": true, "newlines": true, "points": true, "members": true, "alternatives": true}
	for name, src := range hostileInputs(1 << 18) {
		t.Run(name, func(t *testing.T) {
			data := []byte(src)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			f, err := Parse("hostile.sheet", data)
			runtime.ReadMemStats(&after)
			require.NotNil(t, f)
			if harmless[name] {
				require.NoError(t, err)
			} else {
				require.Error(t, err)
			}
			require.LessOrEqual(t, len(f.Diagnostics()), 101)
			allocated := after.TotalAlloc - before.TotalAlloc
			require.Less(t, allocated, uint64(2048*len(src)), "bytes allocated")
			if len(src) > 1<<20 {
				require.Less(t, allocated, uint64(1<<16), "a file that is too large is not even copied")
			}
		})
	}
}

func TestMillionOpenings(t *testing.T) {
	for _, opening := range []string{"require (", "limit x[", "{"} {
		src := "brushgear 1\n" + strings.TrimRight(opening, "([{") + strings.Repeat(opening[len(opening)-1:], 1_000_000)
		f, err := Parse("hostile.sheet", []byte(src))
		require.Error(t, err)
		require.Len(t, f.Diagnostics(), 1)
	}
}
