package api_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/testing/protocmp"

	"dyelot/inventory/quantity"
	pb "dyelot/proto/dyelot/v1"
)

var protocmpTransform = protocmp.Transform()

func quantityOf(a *pb.Amount) (string, error) {
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	value, unit := q.Decimal()
	return value + " " + unit, err
}

// 20 L of brew, 2 L left over: 18 L over 541 g and 539 g are 9.02 L and 8.98 L
// (by hand, 18 × 541 / 1080 = 9.0167, to 10 mL). What is left may dye another
// lot, and the exhausted dye bath too; both have the weld in them.
func TestABrewIsMeasuredDividedAndItsRestKept(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	fine(c.record(&pb.RecordStageRequest{LotCodes: c.lots, Position: 1, AsPlanned: true, VesselCode: "tub-60"}))(c.House)
	brew := fine(c.record(&pb.RecordStageRequest{LotCodes: c.lots, Position: 2, AsPlanned: true, VesselCode: "tub-60", BathVolume: c.Amount("20L")}))(c.House).GetRecord()
	litres := func(want ...string) {
		t.Helper()
		var got []string
		r := c.lot(c.lots[0]).GetStages()[1].GetRecord()
		for _, s := range r.GetLiquorShares() {
			l, err := quantityOf(s.GetAmount())
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, s.GetLotCode()+" "+l)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (%v)", diff, r)
		}
	}
	litres(c.lots[0]+" 10020 mL", c.lots[1]+" 9980 mL")
	fine(c.log(&pb.LogBathRequest{BathCode: brew.GetBathCode(), Kind: "kept", Litres: c.Amount("2L")}))(c.House)
	litres(c.lots[0]+" 9020 mL", c.lots[1]+" 8980 mL")
	stages := c.lot(c.lots[1]).GetStages()
	if s := stages[2].GetBrewedLiquor(); len(s) != 1 || s[0].GetLotCode() != c.lots[1] || stages[1].GetRecord().GetLeftWent() != "kept, E1" {
		t.Errorf("%v", stages[2])
	}

	// Another run: its brew is the rest; and a third one dyes in the exhaust bath.
	dye := fine(c.record(&pb.RecordStageRequest{LotCodes: c.lots[:1], Position: 3}))(c.House).GetRecord()
	rest, exhaust := c.plan("gold"), c.plan("gold")
	fine(c.record(&pb.RecordStageRequest{LotCodes: rest[:1], Position: 2, BathCode: brew.GetBathCode()}))(c.House)
	fine(c.record(&pb.RecordStageRequest{LotCodes: exhaust[:1], Position: 3, BathCode: dye.GetBathCode(), VesselCode: "pot-40"}))(c.House)
	want := []string{c.lots[0], c.lots[1], rest[0], exhaust[0]}
	slices.Sort(want)
	if got := c.lotsWith(c.weld); !slices.Equal(got, want) {
		t.Errorf("the weld is in %v, want %v", got, want)
	}
	for _, l := range []string{rest[0], exhaust[0]} {
		if got := c.sourcesOf(l)[c.weld]; !slices.Equal(got, []string{brew.GetCode()}) {
			t.Errorf("the weld of lot %s is traced through %v", l, got)
		}
	}
}

// Iron adds up over additions, and of a dip that was used before nobody can say
// how much it still offers: 5.41 g and 5.41 g on 541 g are 2 % exactly, which is
// the line; 0.1 g more is above it.
func TestIronCountsAdditionsAndUsedDips(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	a, b := c.lots[:1], c.lots[1:]
	dip := fine(c.record(&pb.RecordStageRequest{LotCodes: a, Position: 4, Used: c.taken(c.copperas, "5.41g"), VesselCode: "iron-15"}))(c.House).GetRecord()
	if more := fine(c.add(dip.GetCode(), c.copperas, "5.41g"))(c.House); says(more.GetWarnings(), "iron-over") {
		t.Errorf("exactly on the line: %v", more.GetWarnings())
	}
	_, err := c.add(dip.GetCode(), c.copperas, "0.1g")
	saysNo(t, err, codes.FailedPrecondition, "override_by", "above 2 % on silk")
	over := fine(c.Pot.AddToBath(c.Ctx, &pb.AddToBathRequest{RequestId: c.ID(), RecordCode: dip.GetCode(), Used: c.taken(c.copperas, "0.1g"), HappenedAt: c.now(), OverrideBy: "owner", OverrideReason: "a trial"}))(c.House)
	if !says(over.GetWarnings(), "iron-over") || over.GetRecord().GetOverrideBy() != "owner" {
		t.Errorf("%v", over)
	}
	_, err = c.record(&pb.RecordStageRequest{LotCodes: b, Position: 4, BathCode: dip.GetBathCode()})
	saysNo(t, err, codes.FailedPrecondition, "override_by", "at least 0 % + unknown")
	again := fine(c.record(&pb.RecordStageRequest{LotCodes: b, Position: 4, BathCode: dip.GetBathCode(), OverrideBy: "owner", OverrideReason: "a trial"}))(c.House)
	if !says(again.GetWarnings(), "iron-unknown") {
		t.Errorf("%v", again.GetWarnings())
	}
	// It stays unknown for whatever comes after.
	_, err = c.add(again.GetRecord().GetCode(), c.copperas, "1g")
	saysNo(t, err, codes.FailedPrecondition, "override_by", "+ unknown")
}

// A vat is set before any lot, fed and read in its diary, and dipped into by
// groups, each counted. pH limits from trade.md [M]: 9 to 9.5 for silk.
func TestAVatHasADiary(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	lots := c.plan("blue")
	set := fine(c.Pot.SetVat(c.Ctx, &pb.SetVatRequest{RequestId: c.ID(), VesselCode: "vat-50", Litres: c.Amount("38L"), Used: c.taken(c.woad, "50g"), Ph: "9.2", Celsius: 50, Fibre: "silk", HappenedAt: c.now()}))(c.House)
	vat := set.GetBath().GetCode()
	if set.GetBath().GetState() != "kept" || set.GetBath().GetUses() != 0 || len(set.GetWarnings()) != 0 || len(set.GetCautions()) == 0 || c.onHand(c.woad) != "250" {
		t.Errorf("%v", set)
	}
	note := fine(c.log(&pb.LogBathRequest{BathCode: vat, Kind: "note", Ph: "9.8", Celsius: 28, Used: c.taken(c.woad, "5g"), Note: "green under the flower"}))(c.House)
	if !says(note.GetWarnings(), "vat-ph") || note.GetEntry().GetKind() != "note" || note.GetBath().GetPh() != "9.8" {
		t.Errorf("%v", note)
	}
	q := &pb.RecordStageRequest{LotCodes: lots[:1], Position: 1, BathCode: vat, Dips: []*pb.Dips{
		{Tags: c.tags[lots[0]][:2], Dips: 4, Airings: 4}, {Tags: c.tags[lots[0]][2:], Dips: 3, Airings: 3}}}
	dipped := fine(c.record(q))(c.House)
	if r := dipped.GetRecord(); r.GetBathUse() != 1 || len(r.GetDips()) != 2 || r.GetVesselCode() != "vat-50" || !says(dipped.GetWarnings(), "vat-ph") {
		t.Errorf("%v", dipped)
	}
	shown := c.bath(vat)
	if len(shown.GetEntries()) != 2 || len(shown.GetRecords()) != 1 || !cmp.Equal(shown.GetRecords()[0].GetDips(), q.GetDips(), protocmpTransform) {
		t.Errorf("%v", shown)
	}
	fine(c.record(&pb.RecordStageRequest{LotCodes: lots[1:], Position: 1, BathCode: vat, Ph: "9.3", Dips: []*pb.Dips{{Dips: 2, Airings: 2}}}))(c.House)
	if got := c.lotsWith(c.woad); !slices.Equal(got, lots) {
		t.Errorf("the woad is in %v, want %v", got, lots)
	}
	third := c.plan("blue")
	for _, r := range []struct {
		dips        []*pb.Dips
		position    int32
		field, says string
	}{
		{[]*pb.Dips{{Dips: 0}}, 1, "dips[0].dips", "1 to 1000"},
		{[]*pb.Dips{{Dips: 1, Airings: -1}}, 1, "dips[0].airings", "0 to 1000"},
		{[]*pb.Dips{{Dips: 1}, {Dips: 2}}, 1, "dips[0].tags", "counted apart"},
		{[]*pb.Dips{{Dips: 1, Tags: c.tags[lots[0]][:1]}}, 1, "dips[0].tags[0]", "is of lot " + lots[0]},
		{[]*pb.Dips{{Dips: 1, Tags: c.tags[third[0]][:1]}, {Dips: 1, Tags: c.tags[third[0]][:1]}}, 1, "dips[1].tags", "twice"},
		{[]*pb.Dips{{Dips: 1}}, 2, "dips", "are counted in a vat, and this is dry"},
	} {
		_, err := c.record(&pb.RecordStageRequest{LotCodes: third[:1], Position: r.position, VesselCode: "vat-50", Dips: r.dips})
		saysNo(t, err, codes.InvalidArgument, r.field, r.says)
	}
	for _, r := range []struct {
		q           *pb.LogBathRequest
		field, says string
	}{
		{&pb.LogBathRequest{BathCode: vat, Kind: "set"}, "kind", "use one of"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "note"}, "note", "is needed"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "top-up"}, "litres", "what went in"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "spent", Route: "foul sewer"}, "litres", "poured away"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "spent", Litres: c.Amount("30L")}, "route", "where it went"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "kept", Used: c.taken(c.woad, "1g")}, "used", "top it up first"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "kept", Route: "garden"}, "route", "spent"},
		{&pb.LogBathRequest{BathCode: vat, Kind: "note", Ph: "15"}, "ph", "0 to 14"},
		{&pb.LogBathRequest{BathCode: "", Kind: "note"}, "bath_code", "is needed"},
	} {
		_, err := c.log(r.q)
		saysNo(t, err, codes.InvalidArgument, r.field, r.says)
	}
	_, err := c.Pot.SetVat(c.Ctx, &pb.SetVatRequest{RequestId: c.ID(), VesselCode: "vat-50", Litres: c.Amount("45L")})
	saysNo(t, err, codes.FailedPrecondition, "", "does not go into vat-50")
	_, err = c.log(&pb.LogBathRequest{BathCode: vat, Kind: "kept", Litres: c.Amount("90L")})
	saysNo(t, err, codes.InvalidArgument, "litres", "holds")
	again := fine(c.Pot.SetVat(c.Ctx, &pb.SetVatRequest{RequestId: c.ID(), VesselCode: "vat-50", Litres: c.Amount("38L")}))(c.House)
	if !says(again.GetWarnings(), "vessel-taken") {
		t.Errorf("a second vat in one vessel is not warned of: %v", again)
	}
	m := fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: c.woad}))(c.House).GetMovements()
	_, err = c.Stock.ReverseMovement(c.Ctx, &pb.ReverseMovementRequest{RequestId: c.ID(), MovementCode: m[len(m)-1].GetCode(), Reason: "by hand"})
	saysNo(t, err, codes.FailedPrecondition, "", "take that entry back")
}

// A kept bath that stands too long is asked about, and a spent one is not.
func TestTodayAsksAboutKeptBaths(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	asked := func() (text string) {
		t.Helper()
		for _, task := range fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetTasks() {
			if task.GetKey() == "kept-bath" {
				text += task.GetSubject() + ": " + task.GetText()
			}
		}
		return text
	}
	tub := fine(c.record(&pb.RecordStageRequest{LotCodes: c.lots, Position: 1, AsPlanned: true, VesselCode: "tub-60"}))(c.House).GetRecord().GetBathCode()
	if got := asked(); got != "" {
		t.Errorf("nobody kept it: %s", got)
	}
	fine(c.log(&pb.LogBathRequest{BathCode: tub, Kind: "kept"}))(c.House)
	if got, want := asked(), tub+": mordant bath in tub-60 kept 39 days, used once: use it or log it spent"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	list := fine(c.Pot.ListBaths(c.Ctx, &pb.ListBathsRequest{}))(c.House).GetBaths()
	if len(list) != 1 || list[0].GetCode() != tub || list[0].GetAgeDays() != 39 || list[0].GetLitres() != nil {
		t.Errorf("%v", list)
	}
	fine(c.log(&pb.LogBathRequest{BathCode: tub, Kind: "spent", Litres: c.Amount("40L"), Route: "foul sewer"}))(c.House)
	if got := asked(); got != "" {
		t.Errorf("it is spent: %s", got)
	}
	if got := fine(c.Pot.ListBaths(c.Ctx, &pb.ListBathsRequest{}))(c.House).GetBaths(); len(got) != 0 {
		t.Errorf("%v", got)
	}
	if got := fine(c.Pot.ListBaths(c.Ctx, &pb.ListBathsRequest{All: true, PageSize: 1}))(c.House); len(got.GetBaths()) != 1 || got.GetNextPageToken() != "" {
		t.Errorf("%v", got)
	}
}
