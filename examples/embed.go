// Package examples holds the example sheets and records of Brushgear: an invented bench shop with one alternator, one cranking motor and
// the battery that feeds both. It is data only, so that programs and tests can read it without touching the disk.
package examples

import "embed"

// FS holds the sheets, records and trials by their paths in this folder:
//
//	first.sheet, first.record.sheet   the smallest sheet that works, and a record for it
//	sheets/                           general practice, kinds, families and the shop's own rules
//	records/                          readings of single units; each names the sheets it needs with use
//	trials/                           readings with the verdict that is expected of them
//
// All of its data is invented. An embed.FS is safe for concurrent use.
//
//go:embed first.sheet first.record.sheet sheets records trials
var FS embed.FS
