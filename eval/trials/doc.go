// Package trials runs the trials of sheets and tells what they leave out.
//
// A trial is a record that the author of a sheet writes to see that the sheet says what it should: readings, what they give, and what they find.
//
//	suite, err := trials.Load(fsys)           // all sheets of a file system
//	report, err := suite.Run(ctx, trials.Options{})
//	err = report.Text(os.Stdout)
//
// [Suite.Run] judges them and compares; [Report] prints what came of it as text, JSON or JUnit XML. [Suite.Coverage] tells which
// outcomes, edges of limits, faults and variants no trial expects.
package trials
