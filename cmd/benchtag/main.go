// Command benchtag serves a motorcycle workshop's work orders and teardown
// findings, and holds the tools around them. It is the only place that sees
// every package; it wires, and decides nothing.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // every shop has a time zone of its own

	"github.com/alecthomas/kong"
)

// version is set by the linker.
var version = "0.1.0-dev"

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	os.Exit(run(ctx, os.Args[1:], outputs{os.Stdout, os.Stderr}))
}

// outputs are where a command writes: its result, and what it says about it.
type outputs struct{ out, err io.Writer }

// commands is the command line.
type commands struct {
	Serve         serveCommand         `cmd:"" help:"Serve a shop for real, from a data folder or a PostgreSQL database. The first start prints a one-time set-up secret."`
	Demo          demoCommand          `cmd:"" help:"Serve an invented shop with eighteen jobs at every stage, on a fresh database. Nothing needs to be set up."`
	Migrate       migrateCommand       `cmd:"" help:"Bring the database up to date; on PostgreSQL also let a role serve from it. Safe to run again. Serve does it by itself on a data folder."`
	Export        exportCommand        `cmd:"" help:"Write the repair history of a shop, or of one machine, to standard output."`
	Certificate   certificateCommand   `cmd:"" help:"Make the shop's own certificate authority, good for one name alone, and a certificate of the server by it. For a shop whose server has no public name."`
	JournalKey    journalKeyCommand    `cmd:"" help:"Print the public key that signs the journals' checkpoints, with its fingerprint; with --rotate take a new one."`
	JournalAccept journalAcceptCommand `cmd:"" help:"Let a shop go on whose database is behind what was signed for it, because a backup was put back on purpose. The journal says so for ever."`
	Reckon        reckonCommand        `cmd:"" help:"Let an engine answer: JSON in, value, verdict and working out."`
	Verify        verifyCommand        `cmd:"" help:"Check a customer's receipt, offline; exits with 0 if it holds, 1 if it does not, 2 if that cannot be said."`
	CheckMap      checkMapCommand      `cmd:"" help:"Check machine maps and limit sheets, and print every fault with its place; exits with 1 if there is any."`
	Schema        schemaCommand        `cmd:"" help:"Print the JSON Schema of machine maps or of limit sheets."`
	Health        healthCommand        `cmd:"" help:"Ask a running server whether it is alive; exits with 1 if it is not. For containers."`
	Version       versionCommand       `cmd:"" help:"Print the version."`
}

const description = `Work orders and teardown findings of a motorcycle workshop, as a JSON API.

Torques, limits and times come from the maker's service manual; consent rules are
a calculator over dated data, not legal advice. Defer to local law and to
qualified people.`

// exited carries kong's wish to end, for --help.
type exited int

// run parses and runs one command, and gives the exit code.
func run(ctx context.Context, args []string, to outputs) (code int) {
	defer func() {
		if e, ok := recover().(exited); ok {
			code = int(e)
		}
	}()
	var cli commands
	parser, err := kong.New(&cli, kong.Name("benchtag"), kong.Description(description),
		kong.ShortUsageOnError(), kong.Writers(to.out, to.err), kong.Exit(func(c int) { panic(exited(c)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	if err != nil {
		return fail(to, err)
	}
	chosen, err := parser.Parse(args)
	if err != nil {
		parser.FatalIfErrorf(err)
		return 1
	}
	chosen.BindTo(ctx, (*context.Context)(nil))
	if err := chosen.Run(to); err != nil {
		return fail(to, err)
	}
	return 0
}

func fail(to outputs, err error) int {
	if errors.Is(err, context.Canceled) {
		return 0
	}
	_, _ = fmt.Fprintln(to.err, "benchtag:", err)
	var e ended
	if errors.As(err, &e) {
		return e.code
	}
	return 1
}

// ended is an error that ends the program with an exit code of its own.
type ended struct {
	code int
	error
}

// Unwrap gives the error itself.
func (e ended) Unwrap() error { return e.error }

type versionCommand struct{}

// Run prints the version.
func (versionCommand) Run(to outputs) error {
	_, err := fmt.Fprintln(to.out, version)
	return err
}
