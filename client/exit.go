package client

import (
	"context"
	"errors"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"dyelot/inventory/fault"
)

// The exit codes, which scripts may rely on.
const (
	exitDone    = 0
	exitFailed  = 1 // all else
	exitUsage   = 2 // the words of the call are off
	exitMissing = 3 // no such thing
	exitRefused = 4 // a rule said no
	exitAway    = 5 // the service did not answer
)

// exitOfCode is the one table from status to exit code; what is not in it is
// exitFailed.
var exitOfCode = map[codes.Code]int{
	codes.OK:                 exitDone,
	codes.InvalidArgument:    exitUsage,
	codes.NotFound:           exitMissing,
	codes.FailedPrecondition: exitRefused,
	codes.Unavailable:        exitAway,
	codes.DeadlineExceeded:   exitAway,
}

// codeOfKind gives what was found out here, before any call, the code that the
// service would have given it.
var codeOfKind = map[fault.Kind]codes.Code{
	fault.Invalid:         codes.InvalidArgument,
	fault.NotFound:        codes.NotFound,
	fault.Refused:         codes.FailedPrecondition,
	fault.Exists:          codes.AlreadyExists,
	fault.Conflict:        codes.Aborted,
	fault.Forbidden:       codes.PermissionDenied,
	fault.Unauthenticated: codes.Unauthenticated,
	fault.Exhausted:       codes.ResourceExhausted,
	fault.Unavailable:     codes.Unavailable,
}

// codeOf finds the code of any error a command can end with.
func codeOf(err error) codes.Code {
	if f, ok := fault.Of(err); ok {
		if code, known := codeOfKind[f.Kind]; known {
			return code
		}
		return codes.Unknown
	}
	if st := statusOf(err); st != nil {
		return st.Code()
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return codes.DeadlineExceeded
	case errors.Is(err, context.Canceled):
		return codes.Canceled
	}
	return codes.Unknown
}

// statusOf finds the status inside an error, as the service wrote it: the
// library wraps the last of several tries in words of its own. Nil where there
// is none; OK where there is no error.
func statusOf(err error) *status.Status {
	var carries interface{ GRPCStatus() *status.Status }
	if err == nil {
		return status.New(codes.OK, "")
	}
	if errors.As(err, &carries) {
		return carries.GRPCStatus()
	}
	return nil
}

func exitOf(err error) int {
	if code, known := exitOfCode[codeOf(err)]; known {
		return code
	}
	return exitFailed
}
