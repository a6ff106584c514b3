package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUnified(t *testing.T) {
	require.Empty(t, unified("x", "a\nb\n", "a\nb\n"))
	require.Equal(t, "--- x\n+++ x\n@@ -1,2 +1,2 @@\n a\n-b\n\\ No newline at end of file\n+c\n", unified("x", "a\nb", "a\nc\n"))
	require.Equal(t, "--- x\n+++ x\n@@ -0,0 +1,1 @@\n+a\n", unified("x", "", "a\n"))
	before := "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n13\n14\n15\n16\n17\n18\n"
	after := strings.NewReplacer("\n2\n", "\ntwo\n", "\n17\n", "\n").Replace(before)
	require.Equal(t, "--- x\n+++ x\n@@ -1,5 +1,5 @@\n 1\n-2\n+two\n 3\n 4\n 5\n@@ -14,5 +14,4 @@\n 14\n 15\n 16\n-17\n 18\n", unified("x", before, after))
}

// applied carries a difference out, and checks that what it says stays or goes is there.
func applied(t *testing.T, before, diff string) string {
	t.Helper()
	old := lines(before)
	var out []string
	at := 0
	for _, line := range lines(diff)[min(2, len(lines(diff))):] {
		switch line[0] {
		case '@':
			var n int
			_, rest, _ := strings.Cut(line, "@@ -")
			for _, r := range rest {
				if r < '0' || r > '9' {
					break
				}
				n = 10*n + int(r-'0')
			}
			if strings.HasPrefix(rest[strings.Index(rest, ","):], ",0 ") {
				n++
			}
			for ; at < n-1; at++ {
				out = append(out, old[at])
			}
		case ' ':
			require.Equal(t, old[at], line[1:])
			out = append(out, old[at])
			at++
		case '-':
			require.Equal(t, old[at], line[1:])
			at++
		case '+':
			out = append(out, line[1:])
		}
	}
	return strings.Join(append(out, old[at:]...), "")
}

func randomLines(r *rand.Rand, n int) string {
	var b strings.Builder
	for range r.IntN(n) {
		b.WriteString(string(rune('a'+r.IntN(4))) + "\n")
	}
	return b.String()
}

// A difference makes the one text of the other.
func TestUnifiedCarriesOver(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		before, after := randomLines(r, 30), randomLines(r, 30)
		require.Equal(t, after, applied(t, before, unified("x", before, after)), "%q %q", before, after)
	}
}

// The program patch of the system reads the form.
func TestPatchReadsIt(t *testing.T) {
	patch, err := exec.LookPath("patch")
	if err != nil {
		t.Log("there is no program patch here; TestUnifiedCarriesOver carries differences out by itself")
		return
	}
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		before, after := "0\n"+randomLines(r, 60), "0\n"+randomLines(r, 60)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "x"), []byte(before), 0o644))
		cmd := exec.Command(patch, "-p0", "--quiet")
		cmd.Dir, cmd.Stdin = dir, strings.NewReader(unified("x", before, after))
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
		got, err := os.ReadFile(filepath.Join(dir, "x"))
		require.NoError(t, err)
		require.Equal(t, after, string(got))
	}
}

func TestUnifiedIsBounded(t *testing.T) {
	before, after := strings.Repeat("a\n", 5000), strings.Repeat("b\n", 5000)
	require.Equal(t, after, applied(t, before, unified("x", before, after)))
}
