package client

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/protoadapt"

	"dyelot/inventory/fault"
)

// refusal is a status as the service builds it from a fault.
func refusal(t *testing.T, code codes.Code, reason, field, say string, numbers map[string]string) error {
	t.Helper()
	meta := map[string]string{}
	for k, v := range numbers {
		meta[k] = v
	}
	details := []protoadapt.MessageV1{}
	message := say
	if field != "" {
		meta["field"] = field
		message = field + ": " + say
		details = append(details, &errdetails.BadRequest{FieldViolations: []*errdetails.BadRequest_FieldViolation{{Field: field, Description: say}}})
	}
	if code == codes.FailedPrecondition {
		meta["rule"] = reason
	}
	details = append(details, &errdetails.ErrorInfo{Reason: reason, Domain: "dyelot", Metadata: meta})
	st, err := status.New(code, message).WithDetails(details...)
	if err != nil {
		t.Fatal(err)
	}
	return st.Err()
}

// The table of the contract's exit codes: every code of the gRPC standard has
// one, and it is the one that scripts were promised.
func TestEachStatusHasItsExitCode(t *testing.T) {
	t.Parallel()
	promised := map[codes.Code]int{
		codes.OK: 0, codes.InvalidArgument: 2, codes.NotFound: 3, codes.FailedPrecondition: 4, codes.Unavailable: 5, codes.DeadlineExceeded: 5,
	}
	for code := codes.OK; code <= codes.Unauthenticated; code++ {
		want, named := promised[code]
		if !named {
			want = 1
		}
		t.Run(code.String(), func(t *testing.T) {
			t.Parallel()
			service := open(t, func(asked) (proto.Message, error) { return nil, status.Error(code, "no") })
			got := at(service).run(t, "stock", "count", "P9", "338g")
			if got.code != want {
				t.Errorf("exit code %d, want %d", got.code, want)
			}
			if code != codes.OK && (got.out != "" || !strings.HasPrefix(got.err, "dyelot: ")) {
				t.Errorf("stdout %q, stderr %q: want nothing, and a sentence", got.out, got.err)
			}
			if strings.Contains(got.err, "How to write it") {
				t.Errorf("an error brings the usage: %q", got.err)
			}
		})
	}
}

func TestExitOfOtherErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{errors.New("disk full"), 1},
		{fault.BadField("amount", "is needed"), 2},
		{fmt.Errorf("outer: %w", fault.Missing("lot", "L9")), 3},
		{fault.Refuse("STOCK_SHORT", "no"), 4},
		{fault.New(fault.Unavailable, "DATABASE_AWAY", "no"), 5},
		{fault.New(fault.Forbidden, "ROLE_MISSING", "no"), 1},
		{fmt.Errorf("after five tries: %w", status.Error(codes.Unavailable, "no")), 5},
	} {
		if got := exitOf(c.err); got != c.want {
			t.Errorf("%v: exit code %d, want %d", c.err, got, c.want)
		}
	}
}

// inWords are refusals, the command that met them, and what a person reads.
func inWords(t *testing.T) map[string]struct {
	refused error
	args    []string
	want    string
} {
	t.Helper()
	short := map[string]string{"asked": "162 g", "free": "135 g"}
	return map[string]struct {
		refused error
		args    []string
		want    string
	}{
		"a flag of the same name": {
			refusal(t, codes.InvalidArgument, "INVALID_FIELD", "supplier_lot", "has 300 characters, at most 200 are kept", nil),
			[]string{"stock", "receive", "alum", "500g"},
			"dyelot: --supplier-lot: has 300 characters, at most 200 are kept\n",
		},
		"a flag of another name": {
			refusal(t, codes.InvalidArgument, "INVALID_FIELD", "happened_at", "is in the future", nil),
			[]string{"stock", "receive", "alum", "500g", "--at", "9:30"},
			"dyelot: happened_at (--at): is in the future\n",
		},
		"an argument": {
			refusal(t, codes.InvalidArgument, "INVALID_FIELD", "amount", "500 mL is a volume: give mass (g)", nil),
			[]string{"stock", "receive", "alum", "500mL"},
			"dyelot: amount (AMOUNT): 500 mL is a volume: give mass (g)\n",
		},
		"a part of a flag": {
			refusal(t, codes.InvalidArgument, "INVALID_FIELD", "recipe.stages[2].kind", `"stew" is not a stage`, nil),
			[]string{"recipe", "add", "gold", "--stage", "stew 60C"},
			"dyelot: recipe.stages[2].kind (--stage): \"stew\" is not a stage\n",
		},
		"no such thing names itself": {
			refusal(t, codes.NotFound, "NOT_FOUND", "parcel", `there is no parcel "P99"`, nil),
			[]string{"stock", "show", "P99"},
			"dyelot: there is no parcel \"P99\"\n        see the parcels with: dyelot stock list --empty\n",
		},
		"a rule, and what to do next": {
			refusal(t, codes.FailedPrecondition, "STOCK_SHORT", "", "P1 has 135 g free, 162 g were asked", short),
			[]string{"stock", "promise", "P1", "162g"},
			"dyelot: P1 has 135 g free, 162 g were asked\n        see what is left with: dyelot stock list; what wants ordering with: dyelot reorder\n",
		},
		"the refusal's own figures in the next step": {
			refusal(t, codes.FailedPrecondition, "NOT_ISSUED", "", "lot L1 has not been issued", map[string]string{"lot": "L1"}),
			[]string{"stage", "record", "L1", "2"},
			"dyelot: lot L1 has not been issued\n        dyelot lot issue L1\n",
		},
		"a figure that is not there": {
			refusal(t, codes.FailedPrecondition, "HOUSE_STANDARD", "", "lot L1 does not pass", nil),
			[]string{"verdict", "give", "L1", "passed"},
			"dyelot: lot L1 does not pass\n        see each row with: dyelot verdict show LOT; record a test, or have an owner override by name\n",
		},
		"a retried refusal is told as the service wrote it": {
			refusal(t, codes.Unavailable, "DATABASE_AWAY", "", "the database is not answering: try again in a moment", nil),
			[]string{"stock", "list"},
			"dyelot: the database is not answering: try again in a moment\n        run the same command again in a moment\n",
		},
	}
}

func TestRefusalsInWords(t *testing.T) {
	t.Parallel()
	for name, c := range inWords(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			service := open(t, func(asked) (proto.Message, error) { return nil, c.refused })
			got := at(service).run(t, c.args...)
			if diff := cmp.Diff(c.want, got.err); diff != "" {
				t.Errorf("stderr (-want +got):\n%s", diff)
			}
		})
	}
}

func TestRefusalsInJSON(t *testing.T) {
	t.Parallel()
	refused := refusal(t, codes.FailedPrecondition, "STOCK_SHORT", "amount", "P1 has 135 g free, 162 g were asked", map[string]string{"asked": "162 g", "free": "135 g"})
	service := open(t, func(asked) (proto.Message, error) { return nil, refused })
	got := at(service).run(t, "stock", "promise", "P1", "162g", "--json", "--request-id", "r-mine-1234")
	var doc map[string]complaint
	if err := json.Unmarshal([]byte(got.err), &doc); err != nil {
		t.Fatalf("stderr is no JSON: %v\n%s", err, got.err)
	}
	want := map[string]complaint{"error": {
		Code: "FAILED_PRECONDITION", Exit: 4, Reason: "STOCK_SHORT", Message: "P1 has 135 g free, 162 g were asked", Field: "amount", Flag: "AMOUNT",
		Rule: "STOCK_SHORT", Metadata: map[string]string{"asked": "162 g", "free": "135 g"}, RequestID: "r-mine-1234",
		Next: "see what is left with: dyelot stock list; what wants ordering with: dyelot reorder",
	}}
	if diff := cmp.Diff(want, doc); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got.code != 4 || got.out != "" {
		t.Errorf("exit code %d, stdout %q", got.code, got.out)
	}
}

// Not even the flags could be read, and the answer is JSON all the same.
func TestUsageErrorsInJSON(t *testing.T) {
	t.Parallel()
	got := bench{}.run(t, "stock", "list", "--knd", "blank", "--json")
	var doc map[string]complaint
	if err := json.Unmarshal([]byte(got.err), &doc); err != nil {
		t.Fatalf("stderr is no JSON: %v\n%s", err, got.err)
	}
	if e := doc["error"]; e.Exit != 2 || got.code != 2 || e.Reason != "UNKNOWN_FLAG" || !strings.Contains(e.Message, "--kind") {
		t.Errorf("%+v, exit code %d: want UNKNOWN_FLAG with a suggestion, 2", e, got.code)
	}
}

func TestCodesAreWrittenAsTheStandardDoes(t *testing.T) {
	t.Parallel()
	// The names of google.rpc.Code, read in google/rpc/code.proto.
	for code, want := range map[codes.Code]string{codes.OK: "OK", codes.FailedPrecondition: "FAILED_PRECONDITION", codes.NotFound: "NOT_FOUND", codes.DeadlineExceeded: "DEADLINE_EXCEEDED"} {
		if got := nameOf(code); got != want {
			t.Errorf("%v is written %s, want %s", code, got, want)
		}
	}
}
