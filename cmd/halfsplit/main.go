// Command halfsplit helps a restorer of old electronics from symptoms to a
// proven repair.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"

	"github.com/alecthomas/kong"

	"halfsplit/form"
)

// Exit codes.
const (
	exitFailure  = 1 // the program could not do it
	exitBadInput = 2 // what was given cannot be right
)

// commands are the commands of the program.
type commands struct {
	Backup     backupCommand      `cmd:"" help:"Put everything that is kept into one archive."`
	Bench      benchCommand       `cmd:"" help:"Open the bench in the browser, for this computer and for paired phones."`
	Capacitor  capacitorCommand   `cmd:"" help:"Is this capacitor still good, how much of its life is gone, and how is it reformed?"`
	Case       caseCommand        `cmd:"" help:"Reason over a case: verdicts, suspects, the next best test, the proof."`
	Circuit    circuitCommands    `cmd:"" help:"Solve circuits: voltages, ripple, frequency response, what each part bears."`
	Completion completionCommands `cmd:"" help:"Make a shell complete commands, units and jobs."`
	Demo       demoCommand        `cmd:"" help:"Serve the bench of an invented workshop, to try everything on."`
	Entry      entryCommand       `cmd:"" help:"Write any entry into the logbook of a job."`
	Export     exportCommand      `cmd:"" help:"Write everything that is kept in an open form."`
	Find       findCommand        `cmd:"" help:"Search everything that is kept."`
	Fleet      fleetCommand       `cmd:"" help:"Several units of one kind: accept them, refuse them, or run on?"`
	Hazard     hazardCommand      `cmd:"" help:"What can hurt in a unit: stored energy, discharge, limits, series lamp, dummy loads."`
	Import     importCommand      `cmd:"" help:"Read an export into empty records, or make a job of a case file."`
	Job        jobCommands        `cmd:"" help:"Jobs: open, stage, sheet, close, export as a case."`
	Library    libraryCommands    `cmd:"" help:"Service sheets of common circuits, for units without papers."`
	List       listCommand        `cmd:"" help:"List what is kept: units, jobs, entries, swaps, stock, needs, orders, sheets, instruments."`
	Mark       markCommand        `cmd:"" help:"What is marked on this part, and when was it made? Or: how is a value marked?"`
	Memory     memoryCommand      `cmd:"" help:"Which chip: failing addresses and bits to chips, kinds of fault, what replacing takes."`
	Note       noteCommand        `cmd:"" help:"Write a note into the logbook of a job."`
	Read       readCommand        `cmd:"" help:"Write a reading into the logbook of a job, and get its verdict."`
	Rehearse   rehearseCommand    `cmd:"" help:"Hunt faults of a service sheet on paper: how many tests, how often right, how far to be believed."`
	Replace    replaceCommand     `cmd:"" help:"What may stand in the place of this part, and what must not?"`
	Restore    restoreCommand     `cmd:"" help:"Put a backup in place; what was there is kept aside."`
	Rom        romCommand         `cmd:"" help:"Dumps of read-only memories: sums, lines that do not move, several dumps together."`
	Sheet      sheetCommands      `cmd:"" help:"Check service sheets, and print what they may hold."`
	Show       showCommand        `cmd:"" help:"Show a unit or a job, and what follows from it."`
	Soak       soakCommand        `cmd:"" help:"How long must it run before the fault can be called gone?"`
	Swap       swapCommand        `cmd:"" help:"Write into the logbook of a job that a part was replaced."`
	Trace      traceCommands      `cmd:"" help:"Recordings of loggers and scopes: events, warm-up, ripple."`
	Unit       unitCommands       `cmd:"" help:"Units: add one, or change what is known of it."`
	Verify     verifyCommand      `cmd:"" help:"Is everything that is kept whole?"`
	Watch      watchCommand       `cmd:"" help:"Watch live meters: readings with verdicts, kept in a trace."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// console is where a command writes to.
type console struct {
	out, errors io.Writer
}

// run parses the arguments, runs the command and returns the exit code.
func run(ctx context.Context, arguments []string, out, errors io.Writer) int {
	exit := -1
	parser, err := kong.New(&commands{},
		kong.Name("halfsplit"),
		kong.Description("From symptoms to a proven repair of old electronics. Begin with: halfsplit case FILE"),
		kong.Writers(out, errors),
		kong.Exit(func(code int) { exit = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.Bind(console{out, errors}),
	)
	if err != nil {
		fmt.Fprintf(errors, "halfsplit: %v\n", err)
		return exitFailure
	}
	if len(arguments) == 0 {
		arguments = []string{"--help"}
	}
	parsed, err := parser.Parse(arguments)
	switch {
	case exit >= 0: // help was printed
		return exit
	case err != nil:
		fmt.Fprintf(errors, "halfsplit: %v\nTry: halfsplit --help\n", err)
		return exitBadInput
	}
	if err := parsed.Run(); err != nil {
		return complain(err, errors)
	}
	return 0
}

// badInput marks an error as one of the input.
type badInput struct{ error }

func (b badInput) Unwrap() error { return b.error }

// complain prints an error and gives its exit code.
func complain(err error, out io.Writer) int {
	var problems form.Problems
	var file *fs.PathError
	var bad badInput
	switch {
	case errors.As(err, &problems):
		fmt.Fprintln(out, problems)
		return exitBadInput
	case errors.As(err, &file) && file.Op == "write":
		fmt.Fprintf(out, "halfsplit: cannot write to %s: %v\n", file.Path, file.Err)
		return exitFailure
	case errors.As(err, &file):
		fmt.Fprintf(out, "halfsplit: cannot read %s: %v\n", file.Path, file.Err)
		return exitBadInput
	case errors.As(err, &bad):
		fmt.Fprintf(out, "halfsplit: %v\n", err)
		return exitBadInput
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(out, "halfsplit: stopped")
	default:
		fmt.Fprintf(out, "halfsplit: %v\n", err)
	}
	return exitFailure
}
