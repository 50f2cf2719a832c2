package api_test

import (
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

func log(h *apitest.House, e *pb.LogEntry) (*pb.AddLogEntryResponse, error) {
	return h.Logbook.AddLogEntry(h.Ctx, &pb.AddLogEntryRequest{RequestId: h.ID(), Entry: e})
}

func scaleRead(h *apitest.House, mass, read string, at *timestamppb.Timestamp) *pb.LogEntry {
	return &pb.LogEntry{Book: "scale", Subject: "kitchen-scale", HappenedAt: at, By: "bench-1", Scale: &pb.ScaleCheck{CheckMass: h.Amount(mass), Read: h.Amount(read)}}
}

func dueTasks(h *apitest.House) (found []*pb.Task) {
	h.T.Helper()
	for _, t := range fine(h.Studio.GetToday(h.Ctx, &pb.GetTodayRequest{}))(h).GetTasks() {
		if t.GetKey() == "check-due" {
			found = append(found, t)
		}
	}
	return found
}

// The worked check: 199.8 g for 200 g is 0.2 g too little, -0.1 %, -1 ‰, and the
// last digit says that the scale shows 0.1 g.
func TestAScaleCheckIsKeptWithItsErrorAndWarns(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	r := fine(log(h, scaleRead(h, "200g", "199.8g", ago(time.Hour))))(h)
	s := r.GetEntry().GetScale()
	if s.GetError().GetValue() != "-0.2" || s.GetErrorPercent() != "-0.1" || s.GetErrorPerMille() != "-1" || s.GetResolution().GetValue() != "0.1" || keysOf(r.GetWarnings()) != "scale-off" {
		t.Errorf("%v", r)
	}
	if r.GetEntry().GetCode() != "J1" || r.GetNextDue() == "" || r.GetEntry().GetBy() != "bench-1" {
		t.Errorf("%v", r)
	}
	told := scaleRead(h, "200g", "200.5g", nil)
	told.Scale.Resolution = h.Amount("1g")
	if r := fine(log(h, told))(h); len(r.GetWarnings()) > 0 {
		t.Errorf("0.5 g is within its step of 1 g: %v", r)
	}
	if r := fine(log(h, scaleRead(h, "200g", "200.5g", nil)))(h); r.GetEntry().GetScale().GetResolution().GetValue() != "1" || len(r.GetWarnings()) > 0 {
		t.Errorf("its step is known by now: %v", r)
	}
}

func TestWaterBuffersAndMishapsAreKept(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	fine(h.Studio.UpdateStudio(h.Ctx, &pb.UpdateStudioRequest{RequestId: h.ID(), PoisonCentre: "00 11 22"}))(h)
	w := fine(log(h, &pb.LogEntry{Book: "water", Subject: "well", Water: &pb.WaterCheck{HardnessDh: "4", IronMgPerL: "0.3"}}))(h)
	if keysOf(w.GetWarnings()) != "water-iron" || !strings.Contains(w.GetEntry().GetText(), "0.71 mmol/L") || w.GetEntry().GetBy() != "owner" {
		t.Errorf("%v", w)
	}
	b := fine(log(h, &pb.LogEntry{Book: "buffer", Subject: "ph-meter", Buffer: &pb.BufferCheck{Ph: "7.00", Read: "7.03"}}))(h)
	if b.GetEntry().GetBuffer().GetError() != "0.03" || len(b.GetWarnings()) > 0 {
		t.Errorf("%v", b)
	}
	m := fine(log(h, &pb.LogEntry{Book: "near-miss", Mishap: &pb.Mishap{What: "lid slid off the brew", Stage: "brew", Done: "hook on the wall"}}))(h)
	if len(m.GetCautions()) < 4 || !strings.Contains(m.GetCautions()[0].GetText(), "poison centre") || m.GetPoisonCentre() != "00 11 22" || m.GetNextDue() != "" {
		t.Errorf("%v", m)
	}
	all := fine(h.Logbook.ListLogEntries(h.Ctx, &pb.ListLogEntriesRequest{PageSize: 2}))(h)
	rest := fine(h.Logbook.ListLogEntries(h.Ctx, &pb.ListLogEntriesRequest{PageSize: 2, PageToken: all.GetNextPageToken()}))(h)
	if got := append(all.GetEntries(), rest.GetEntries()...); len(got) != 3 || got[0].GetBook() != "near-miss" || got[2].GetWater().GetHardnessDh() != "4" || rest.GetNextPageToken() != "" {
		t.Errorf("%v", got)
	}
	only := fine(h.Logbook.ListLogEntries(h.Ctx, &pb.ListLogEntriesRequest{Book: "buffer"}))(h)
	if len(only.GetEntries()) != 1 || only.GetEntries()[0].GetBuffer().GetRead() != "7.03" {
		t.Errorf("%v", only)
	}
}

func TestLinesThatAreRefused(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	for _, c := range []struct {
		e           *pb.LogEntry
		field, says string
	}{
		{&pb.LogEntry{Book: "diary"}, "entry.book", "no book"},
		{&pb.LogEntry{Book: "water", Subject: "The Well", Water: &pb.WaterCheck{HardnessDh: "4"}}, "entry.subject", "no code"},
		{&pb.LogEntry{Book: "water", Subject: "well"}, "entry.water", "needed"},
		{&pb.LogEntry{Book: "water", Subject: "well", Water: &pb.WaterCheck{HardnessDh: "hard"}}, "entry.water.hardness_dh", "not a number"},
		{&pb.LogEntry{Book: "water", Subject: "well", Water: &pb.WaterCheck{IronMgPerL: "-1"}}, "entry.water.iron_mg_per_l", "believed"},
		{&pb.LogEntry{Book: "scale", Subject: "s", Scale: &pb.ScaleCheck{CheckMass: h.Amount("200g")}}, "entry.scale.read", "needed"},
		{&pb.LogEntry{Book: "scale", Subject: "s", Scale: &pb.ScaleCheck{CheckMass: h.Amount("200mL"), Read: h.Amount("1g")}}, "entry.scale.check_mass", "volume"},
		{&pb.LogEntry{Book: "buffer", Subject: "m", Buffer: &pb.BufferCheck{Ph: "7"}}, "entry.buffer.read", "needed"},
		{&pb.LogEntry{Book: "buffer", Subject: "m", Buffer: &pb.BufferCheck{Ph: "15", Read: "7"}}, "entry.buffer.ph", "0 to 14"},
		{&pb.LogEntry{Book: "accident", Mishap: &pb.Mishap{}}, "entry.mishap.what", "needed"},
		{&pb.LogEntry{Book: "accident", Mishap: &pb.Mishap{What: "x", Stage: "lunch"}}, "entry.mishap.stage", "neither"},
		{scaleRead(h, "200g", "200g", timestamppb.New(time.Now().Add(time.Hour))), "entry.happened_at", "future"},
	} {
		_, err := log(h, c.e)
		saysNo(t, err, codes.InvalidArgument, c.field, c.says)
	}
	for _, q := range []struct {
		q     *pb.SetLogIntervalRequest
		field string
	}{{&pb.SetLogIntervalRequest{Book: "accident", Days: 1}, "book"}, {&pb.SetLogIntervalRequest{Book: "scale", Days: -1}, "days"}, {&pb.SetLogIntervalRequest{Book: "scale", Subject: "A B", Days: 1}, "subject"}} {
		q.q.RequestId = h.ID()
		_, err := h.Logbook.SetLogInterval(h.Ctx, q.q)
		saysNo(t, err, codes.InvalidArgument, q.field, "")
	}
}

// A scale checked 40 days ago is due by the usual 30 days; an interval of its
// own, a new check and a withdrawn check each change that; a meter that is asked
// for and was never read is due at once.
func TestWhatIsDueIsATaskOfTheDay(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	every := func(book, subject string, days int32) *pb.Due {
		return fine(h.Logbook.SetLogInterval(h.Ctx, &pb.SetLogIntervalRequest{RequestId: h.ID(), Book: book, Subject: subject, Days: days}))(h).GetDue()
	}
	if got := dueTasks(h); len(got) != 0 {
		t.Fatalf("a studio without instruments: %v", got)
	}
	fine(log(h, scaleRead(h, "200g", "200g", ago(40*24*time.Hour))))(h)
	if got := dueTasks(h); len(got) != 1 || got[0].GetSubject() != "kitchen-scale" || !got[0].GetLate() || !strings.Contains(got[0].GetText(), "dyelot log scale") {
		t.Fatalf("%v", got)
	}
	if d := every("scale", "kitchen-scale", 60); d.GetOverdue() || len(dueTasks(h)) != 0 {
		t.Errorf("%v", d)
	}
	every("scale", "kitchen-scale", 30)
	fresh := fine(log(h, scaleRead(h, "200g", "200g", nil)))(h)
	if got := dueTasks(h); len(got) != 0 {
		t.Errorf("checked today: %v", got)
	}
	fine(h.Logbook.WithdrawEvidence(h.Ctx, &pb.WithdrawEvidenceRequest{RequestId: h.ID(), Code: fresh.GetEntry().GetCode(), Reason: "a cup stood on it"}))(h)
	if got := dueTasks(h); len(got) != 1 {
		t.Errorf("that check was withdrawn: %v", got)
	}
	if d := every("buffer", "ph-meter", 14); !d.GetOverdue() || d.GetLastOn() != "" {
		t.Errorf("%v", d)
	}
	if got := dueTasks(h); len(got) != 2 || !strings.Contains(got[0].GetText()+got[1].GetText(), "never done") {
		t.Errorf("%v", got)
	}
	every("scale", "kitchen-scale", 0)
	every("buffer", "", 7)
	list := fine(h.Logbook.ListDue(h.Ctx, &pb.ListDueRequest{}))(h).GetDue()
	if len(list) != 2 || list[0].GetEveryDays() != 14 || list[1].GetEveryDays() != 0 || len(dueTasks(h)) != 1 {
		t.Errorf("%v", list)
	}
}
