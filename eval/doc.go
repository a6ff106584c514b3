// Package eval judges units by their sheets.
//
// [Compile] turns parsed sheets into a [Bench]: names resolved, the kinds and dimensions of every expression and limit checked. A Bench is
// immutable and safe for concurrent use. [Bench.Open] begins a [Job] on one unit; [Job.Take] adds a reading of any state, [Job.Skip] says why there
// is none, [Job.Work] records a remedy. [Bench.Load] does all of this from a [Record], which comes from a file of the sheet language
// ([ReadRecords]) or from JSON ([ReadRecord]).
//
// [Job.Judge] gives a [Verdict] for each pass. A [Check] has the outcomes that are possible, a [Result], a margin, and the weight of each outcome; a
// [Fault] has its status and the checks that are its witnesses. [Verdict.Explain] puts all of it into words, with the place in the sheet behind
// each; package report prints them.
//
// # What a reading is
//
//	2.45 Ω              a number, off by what its meter or its last digit allows
//	20 to 60 MΩ         one true value somewhere between, > 1 MΩ and < 0.1 A likewise
//	2 to 9 Ω jumping    a value that does not stand still, a symptom of its own
//	OL                  beyond the full scale of the meter
//	lit | dim           one of these words
//	(9.6 9.7 missing mV)  a list by position
//
// Truth is three-valued throughout: what is missing is never good and never bad, and what could be either is not decidable. Errors of readings are
// carried through formulas and corrections to first order (JCGM 100), with shared inputs and the errors that readings of one meter share; how
// many standard uncertainties lie between a reading and its limit decides by the sheet's rule whether it passes, fails, is marginal, or cannot
// be told with that meter.
//
// # Speed
//
// Jobs on units of which the same is known share one bound program. [Job.JudgeInto] reuses a verdict and does not allocate in the plain case.
// Words are made only by Explain.
package eval
