package api

import (
	"context"
	"errors"
	"log/slog"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/protoadapt"

	"dyelot/inventory/fault"
)

// codeOf is the one table from kind to status.
var codeOf = map[fault.Kind]codes.Code{
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

// statusOf turns whatever a handler returned into a status with details. What
// is not a fault is internal: the caller gets a fixed sentence, the log the rest.
func statusOf(ctx context.Context, method string, err error) error {
	if err == nil {
		return nil
	}
	f, ok := fault.Of(err)
	switch {
	case ok:
		return describe(f)
	case errors.Is(err, context.DeadlineExceeded):
		return status.Error(codes.DeadlineExceeded, "the call took longer than its deadline")
	case errors.Is(err, context.Canceled):
		return status.Error(codes.Canceled, "the caller went away")
	}
	if _, ok := status.FromError(err); ok {
		return err
	}
	slog.ErrorContext(ctx, "internal error", "method", method, "error", err)
	return describe(&fault.Fault{Reason: "INTERNAL", Say: "something went wrong inside the service; its log says what"})
}

func describe(f *fault.Fault) error {
	code, ok := codeOf[f.Kind]
	if !ok {
		code = codes.Internal
	}
	info := &errdetails.ErrorInfo{Reason: f.Reason, Domain: "dyelot", Metadata: map[string]string{}}
	for k, v := range f.Numbers {
		info.Metadata[k] = v
	}
	details := []protoadapt.MessageV1{info}
	if f.Field != "" {
		info.Metadata["field"] = f.Field
		details = append(details, &errdetails.BadRequest{FieldViolations: []*errdetails.BadRequest_FieldViolation{{Field: f.Field, Description: f.Say}}})
	}
	if f.Rule != "" {
		info.Metadata["rule"] = f.Rule
		details = append(details, &errdetails.PreconditionFailure{Violations: []*errdetails.PreconditionFailure_Violation{{Type: f.Rule, Description: f.Say}}})
	}
	s := status.New(code, f.Error())
	if with, err := s.WithDetails(details...); err == nil {
		s = with
	}
	return s.Err()
}

func unaryStatus(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	resp, err := next(ctx, req)
	return resp, statusOf(ctx, info.FullMethod, err)
}

func streamStatus(srv any, ss grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	return statusOf(ss.Context(), info.FullMethod, next(srv, ss))
}
