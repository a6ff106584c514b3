// Package dsl reads the language in which sheets and records are written, and formats it. LANGUAGE.md beside the code is the reference of
// the language, with a chapter for authors who do not program.
//
// A sheet states limits and faults; a record holds readings:
//
//	brushgear 1
//	family lintel_12 "Lintel 12 V cranking motor" {
//	  test free_run "Free run at 11.5 V" { read current : A  limit current at most 58 A }
//	}
//
// # Reading
//
// [Parse] reads one file and [ParseFS] a file with all that it uses, from any [io/fs.FS]. [ParseValue] and [ParseRef] read a single reading
// and a single name, for records that come in another form. The package opens no file by itself.
//
// Parsing always returns a tree. A statement that cannot be read becomes a [Bad] node that keeps its text, and costs nothing else: ten
// mistakes are ten findings. The error then unwraps to [Diagnostics], the list of them:
//
//	f, err := dsl.Parse(name, src)
//	var ds dsl.Diagnostics
//	if errors.As(err, &ds) { ... }
//
// Each [Diagnostic] has a place, a stable [Code], a sentence on what is wrong and one on what to write instead, and often an [Edit] that
// mends it. [Explain] and [Codes] tell more about a code. Positions count lines and columns from 1, columns in characters, offsets in
// bytes from 0.
//
// # The tree
//
// A [File] holds declarations: [Block] for kinds, families and shops, [Test], [Fault], [Record] and so on. What stands in the braces of one is
// in its Body. Each type shows the syntax it stands for. Numbers are kept as they were written; [Qty.Quantity] makes a quantity of one.
// The parser takes in whatever has the form of the language. Whether names exist, units fit and limits agree is checked by package eval,
// which reports through the same [Diagnostics].
//
// # Formatting
//
// [Format] and [File.Format] print a file in the uniform layout. Line breaks, numbers and comments stay as they are.
//
// # Hostile input
//
// [Limits] bounds the size of a file, the nesting of blocks and the number of findings. Brackets and operators are bounded too, so that no
// input exhausts the stack. Parsing takes time and memory in proportion to the size of the file.
//
// # Concurrency
//
// All functions are safe for concurrent use. A tree is not changed after it was parsed and can be shared.
package dsl
