// Command dyelot keeps the books of a small natural-dye label from a terminal:
// what is on hand, what each pot received, how each lot wore, and which lot any
// garment came from. `dyelot --help` lists what it does.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"dyelot/client"
)

func main() {
	// The version is asked by scripts and shells at every turn: it needs no
	// command tree.
	if len(os.Args) == 2 && os.Args[1] == "--version" {
		fmt.Println("dyelot " + client.Version())
		return
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := client.Main(ctx, os.Args[1:], client.Process())
	stop()
	os.Exit(code)
}
