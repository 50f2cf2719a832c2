package api_test

import (
	"bytes"
	"context"
	"strings"
	"sync"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// Law 7, under the hardest of its conditions: the same request from many
// callers at once is recorded once, and all of them get the one answer.
func TestLaw7TheSameRequestFromManyCallersIsRecordedOnce(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	req := &pb.ReceiveDeliveryRequest{RequestId: h.ID(), ItemCode: "alum", Amount: h.Amount("500g"), SupplierLot: "A-1"}
	answers := make([][]byte, 12)
	var wg sync.WaitGroup
	for i := range answers {
		wg.Go(func() {
			resp, err := h.Stock.ReceiveDelivery(h.Ctx, req)
			if err != nil {
				t.Error(err)
				return
			}
			answers[i], _ = proto.MarshalOptions{Deterministic: true}.Marshal(resp)
		})
	}
	wg.Wait()
	for _, a := range answers {
		if !bytes.Equal(a, answers[0]) {
			t.Fatal("two callers got two answers")
		}
	}
	list, err := h.Stock.ListParcels(h.Ctx, &pb.ListParcelsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(list.GetParcels()); n != 1 {
		t.Fatalf("%d parcels were recorded", n)
	}
	other := proto.CloneOf(req)
	other.SupplierLot = "A-2"
	_, err = h.Stock.ReceiveDelivery(h.Ctx, other)
	h.Refused(err, codes.AlreadyExists)
	named(t, err, "REQUEST_ID_USED", "request_id")
	if _, err := h.Stock.ReceiveDelivery(h.Ctx, &pb.ReceiveDeliveryRequest{ItemCode: "alum", Amount: h.Amount("1g")}); status.Code(err) != codes.InvalidArgument {
		t.Errorf("a change without a request id: %v", err)
	}
}

// named asks for the reason and the field in an error's details, as programs
// read them.
func named(t *testing.T, err error, reason, field string) {
	t.Helper()
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			if info.GetReason() != reason || info.GetDomain() != "dyelot" || info.GetMetadata()["field"] != field {
				t.Errorf("%v is %s on %q in %s, want %s on %q", err, info.GetReason(), info.GetMetadata()["field"], info.GetDomain(), reason, field)
			}
			return
		}
	}
	t.Errorf("%v has no ErrorInfo", err)
}

// raw sends bytes as they are, as no client of ours would.
type raw struct{ grpc.ClientConnInterface }

type asBytes struct{}

func (asBytes) Marshal(v any) ([]byte, error)      { return v.([]byte), nil }
func (asBytes) Unmarshal(data []byte, v any) error { return nil }
func (asBytes) Name() string                       { return "proto" }

func (r raw) send(ctx context.Context, method string, body []byte) error {
	var nothing []byte
	return r.Invoke(ctx, method, body, &nothing, grpc.ForceCodec(asBytes{}))
}

// What cannot be text is refused as the caller's mistake, by field where the
// message could be read.
func TestTextThatIsNoTextIsRefusedByField(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	for name, c := range map[string]struct{ note, field string }{
		"10 MB":             {strings.Repeat("x", 10<<20), "note"},
		"a zero byte":       {"alum\x00", "note"},
		"an escape":         {"\x1b[31mred", "note"},
		"a reversed line":   {"abc\u202edef", "note"},
		"a line separator":  {"one\u2028two", "note"},
		"4001 characters":   {strings.Repeat("ä", 4001), "note"},
		"4000 characters":   {strings.Repeat("ä", 4000), ""},
		"lines and a tab":   {"one\ntwo\tthree", ""},
		"a name in another": {"ヤシャブシ", ""},
	} {
		_, err := h.Stock.ReceiveDelivery(h.Ctx, &pb.ReceiveDeliveryRequest{RequestId: h.ID(), ItemCode: "alum", Amount: h.Amount("1g"), Note: c.note})
		switch {
		case c.field == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case c.field != "":
			if status.Code(err) != codes.InvalidArgument {
				t.Errorf("%s: %v", name, err)
				continue
			}
			named(t, err, "INVALID_FIELD", c.field)
		}
	}
	broken := protowire.AppendTag(nil, 2, protowire.BytesType)
	broken = protowire.AppendBytes(broken, []byte{'a', 0xff, 'b'})
	for name, body := range map[string][]byte{"invalid UTF-8": broken, "no message at all": {0xff, 0xff, 0xff}} {
		if err := (raw{h.Conn}).send(h.Ctx, "/dyelot.v1.StockService/ReceiveDelivery", body); status.Code(err) != codes.InvalidArgument {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzAnyBytesAreAnswered(f *testing.F) {
	h := apitest.New(f)
	good, err := proto.Marshal(&pb.PlanRunRequest{RequestId: "fuzz-request", ColourwayCode: "x", Loads: []*pb.Load{{VesselCode: "pot", Blanks: []*pb.Blanks{{ParcelCode: "P1", Count: 1}}}}})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add([]byte{})
	f.Add([]byte{0x0a, 0x05, 'a', 'b'})
	f.Fuzz(func(t *testing.T, body []byte) {
		for _, m := range []string{"RunService/PlanRun", "RunService/RecordStage", "StockService/MakeParcel", "RecipeService/CreateRecipeVersion", "JudgeService/RecordFastnessTest"} {
			err := raw{h.Conn}.send(h.Ctx, "/dyelot.v1."+m, body)
			if code := status.Code(err); code == codes.Internal || code == codes.Unknown {
				t.Fatalf("%s: %v", m, err)
			}
		}
	})
}
