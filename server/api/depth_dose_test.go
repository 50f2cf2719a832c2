package api_test

import (
	"math"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

func (s *weldShed) propose(q *pb.ProposeDoseRequest) *pb.ProposeDoseResponse {
	s.T.Helper()
	return fine(s.Depth.ProposeDose(s.Ctx, q))(s.House)
}

func onWool(q *pb.ProposeDoseRequest) *pb.ProposeDoseRequest {
	q.Fibre = "wool"
	if q.Plant == "" && q.ItemCode == "" && q.ParcelCode == "" {
		q.Plant = "weld"
	}
	return q
}

// Swatches made on K/S = 10·w/(40 + w), read every 20 nm over their own undyed
// cloth, and a standard of K/S 5.652, read every 10 nm: that takes 52 % WOF.
func TestTheDoseForAStandardIsReadOffTheSwatches(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	s.weldBook()
	s.standard("gold", 10*52/92.)
	r := s.propose(onWool(&pb.ProposeDoseRequest{StandardCode: "gold"}))
	if math.Abs(number(t, r.GetDose().GetPercentWof())-52) > 1e-3 || r.GetForm() != "saturating" || r.GetWavelengthNm() != 400 || math.Abs(r.GetTargetKs()-10*52/92.) > 1e-9 {
		t.Errorf("%v", r)
	}
	if r.GetText() != "weld 52 % WOF (52 to 52), from 6 swatches at 20 to 80 %" || r.GetMordant() != "potassium alum" || r.GetTarget() != "standard gold" || r.GetGround() != "undyed cloth of swatch T6" {
		t.Errorf("%q, %q, %q, %q", r.GetText(), r.GetMordant(), r.GetTarget(), r.GetGround())
	}
	if len(r.GetCurves()) != 3 || !r.GetCurves()[2].GetChosen() || r.GetCurves()[0].GetLeftOutError() < 0.1 || r.GetCurves()[2].GetLeftOutError() > 1e-6 || len(r.GetSwatches()) != 6 {
		t.Errorf("%v", r.GetCurves())
	}
	if keysOf(r.GetWarnings()) != "depth-only" || r.GetSwatches()[0].GetPercentWof() != "20" {
		t.Errorf("%v of %v", r.GetWarnings(), r.GetSwatches())
	}
	// The deepest swatch is at two thirds of the depth that the curve bends to.
	s.swatch(bookPage{wof: 100, ks: 1000 / 140.})
	if r := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 7})); keysOf(r.GetWarnings()) != "near-saturation depth-only" {
		t.Errorf("%v", r.GetWarnings())
	}
	byNumber := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 4, Plant: "  WELD"}))
	if math.Abs(number(t, byNumber.GetDose().GetPercentWof())-80/3.) > 1e-3 || byNumber.GetWavelengthNm() != 400 || byNumber.GetGround() != "" {
		t.Errorf("%v", byNumber)
	}
	if got := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 4, WavelengthNm: 420})); math.Abs(number(t, got.GetDose().GetPercentWof())-80/3.) < 1 {
		t.Errorf("K/S 4 at 420 nm takes more than at 400 nm: %v", got.GetDose())
	}
}

// A swatch of a harvest of 80 % counts as so much less of the reference, and a
// dose for a harvest of 90 % is so much more of it.
func TestDosesGoByTheStrengthOfHarvests(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	for parcel, percent := range map[string]string{s.first: "80", s.second: "90"} {
		fine(s.Stock.SetStrength(s.Ctx, &pb.SetStrengthRequest{RequestId: s.ID(), ParcelCode: parcel, StrengthPercent: percent}))(s.House)
	}
	for _, w := range []float64{20, 30, 40, 50, 65, 80} {
		s.swatch(bookPage{wof: w, ks: 0.1 * 0.8 * w, parcel: s.first})
	}
	r := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 4.5, ParcelCode: s.second}))
	if math.Abs(number(t, r.GetDose().GetPercentWof())-45) > 1e-3 || math.Abs(number(t, r.GetParcelDose().GetPercentWof())-50) > 1e-3 || r.GetParcelStrengthPercent() != "90" || r.GetForm() != "line" {
		t.Errorf("%v", r)
	}
	if r.GetText() != "P2 (weld) 50 % WOF (50 to 50), which is 45 % at full strength, from 6 swatches at 16 to 64 %" {
		t.Errorf("%q", r.GetText())
	}
	if got := r.GetSwatches()[5]; got.GetPercentWof() != "80" || got.GetAtFullStrength() != "64" || got.GetStrengthPercent() != "80" || got.GetParcelCode() != "P1" {
		t.Errorf("%v", got)
	}
	third := s.Receive("weld", "1kg")
	if r := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 4.5, ParcelCode: third})); !strings.Contains(keysOf(r.GetWarnings()), "strength-unset") {
		t.Errorf("%v", r.GetWarnings())
	}
}

// A struck page is no page; what cannot be read is passed over by name; another
// mordant is another curve.
func TestWhichSwatchesAreUsed(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	s.weldBook()
	struck := s.swatch(bookPage{wof: 45, ks: 1})
	penned(s.House, `insert into swatch_struck (swatch_id, reason, by_name, at, recorded_by) values ($1, 'two cards mixed up', 'owner', now(), 1) returning swatch_id`, struck[1:])
	s.swatch(bookPage{wof: 45, ks: 1, baths: "potassium-alum,copperas"})
	s.swatch(bookPage{wof: 45, ks: 9, plant: "madder"})
	bright := dipCloth(3, 20)
	bright.Reflectance[15] = 1.02
	passed := []string{s.swatch(bookPage{wof: 45, reads: bright}), s.swatch(bookPage{wof: 45, ks: 5, bare: true}), s.swatch(bookPage{ks: 5})}
	_, err := s.Depth.ProposeDose(s.Ctx, onWool(&pb.ProposeDoseRequest{TargetKs: 5}))
	saysNo(t, err, codes.InvalidArgument, "mordants", "there is potassium alum (6); potassium alum, then copperas (1): say which")
	r := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 5, Mordants: []string{"alum"}}))
	if math.Abs(number(t, r.GetDose().GetPercentWof())-40) > 1e-3 || len(r.GetSwatches()) != 6 {
		t.Errorf("%v from %v", r.GetDose(), r.GetSwatches())
	}
	for _, used := range r.GetSwatches() {
		if used.GetCode() == struck {
			t.Errorf("%s was struck", struck)
		}
	}
	got := map[string]string{}
	for _, p := range r.GetPassedOver() {
		got[p.GetCode()] = p.GetWhy()
	}
	if len(got) != 3 || !strings.Contains(got[passed[0]], "brightener") || !strings.Contains(got[passed[1]], "undyed cloth was not read") || !strings.Contains(got[passed[2]], "no % WOF") {
		t.Errorf("%v", got)
	}
	s.groundOf("wool-strip")
	if r := s.propose(onWool(&pb.ProposeDoseRequest{TargetKs: 5, Mordants: []string{"Al"}, GroundItemCode: "wool-strip"})); len(r.GetSwatches()) != 7 || len(r.GetPassedOver()) != 2 {
		t.Errorf("%v, without %v", r.GetSwatches(), r.GetPassedOver())
	}
	_, err = s.Depth.ProposeDose(s.Ctx, onWool(&pb.ProposeDoseRequest{TargetKs: 5, Mordants: []string{"alum", "copperas"}}))
	saysNo(t, err, codes.FailedPrecondition, "", "1 swatch at 1 different % WOF: a curve needs at least 4 swatches at 3 different doses")
}

// A lot's depth is the mean of the spots of its newest dry reading that stands;
// a spot that was left out does not count.
func TestTheDoseForALotsOwnDepth(t *testing.T) {
	t.Parallel()
	c := saddenedChoir(t)
	s := &weldShed{House: c.House}
	for _, w := range []float64{20, 30, 40, 50} {
		s.swatch(bookPage{wof: w, ks: 0.1 * w})
	}
	c.dyed()
	q := onWool(&pb.ProposeDoseRequest{LotCode: c.a})
	_, err := s.Depth.ProposeDose(s.Ctx, q)
	saysNo(t, err, codes.FailedPrecondition, "lot_code", "no dry reading with a spectrum")
	for _, read := range []struct {
		wet    bool
		depths []float64
		out    string
	}{{false, []float64{2.2}, ""}, {false, []float64{3.5, 3.5}, "a fold"}, {true, []float64{4.5}, ""}} {
		id := penned(s.House, `insert into reading (lot_id, l, a, b, illuminant, observer, wet, rested, by_name, instrument, note, happened_at, recorded_at, recorded_by)
			select id, 62, -2, 38, 'D65', 10, $2, false, 'bench-1', '', '', now(), now(), 1 from lot where id = $1 returning id`, c.a[1:], read.wet)
		for i, d := range read.depths {
			penned(s.House, `insert into reading_spot (reading_id, line, l, a, b, first_nm, step_nm, reflectance) values ($1, $2, 62, -2, 38, 400, 10, $3) returning line`, id, i+1, floats(dipCloth(d, 10)))
		}
		if read.out != "" {
			penned(s.House, `insert into reading_spot (reading_id, line, l, a, b, first_nm, step_nm, reflectance, left_out) values ($1, 9, 62, -2, 38, 400, 10, $2, $3) returning line`, id, floats(dipCloth(1, 10)), read.out)
		}
	}
	r := s.propose(q)
	if math.Abs(number(t, r.GetDose().GetPercentWof())-35) > 1e-3 || !strings.HasPrefix(r.GetTarget(), "lot "+c.a+" as read in C") {
		t.Errorf("%v for %s", r.GetDose(), r.GetTarget())
	}
}

func TestWhatIsOffAboutAProposalIsNamed(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	s.weldBook()
	s.standard("gold", 5)
	s.standard("by-eye", 0)
	s.standard("deep", 9)
	s.standard("pale", 0.5)
	madder := s.Receive("madder", "1kg")
	bright := dipCloth(0, 10)
	bright.Reflectance[3] = 1.1
	for name, c := range map[string]struct {
		q           *pb.ProposeDoseRequest
		code        codes.Code
		field, says string
	}{
		"no depth":                 {&pb.ProposeDoseRequest{}, codes.InvalidArgument, "standard_code", "which depth"},
		"two depths":               {&pb.ProposeDoseRequest{StandardCode: "gold", TargetKs: 3}, codes.InvalidArgument, "standard_code", "one depth at a time"},
		"below nothing":            {&pb.ProposeDoseRequest{TargetKs: -3}, codes.InvalidArgument, "target_ks", "is no depth"},
		"endless":                  {&pb.ProposeDoseRequest{TargetKs: math.Inf(1)}, codes.InvalidArgument, "target_ks", "is no depth"},
		"not a number":             {&pb.ProposeDoseRequest{TargetKs: math.NaN()}, codes.InvalidArgument, "target_ks", "is no depth"},
		"a wavelength of its own":  {&pb.ProposeDoseRequest{StandardCode: "gold", WavelengthNm: 440}, codes.InvalidArgument, "wavelength_nm", "goes with target_ks"},
		"far red":                  {&pb.ProposeDoseRequest{TargetKs: 3, WavelengthNm: 750}, codes.InvalidArgument, "wavelength_nm", "from 400 to 700 nm"},
		"no dyestuff":              {&pb.ProposeDoseRequest{TargetKs: 3, Plant: " "}, codes.InvalidArgument, "plant", "which dyestuff"},
		"item and plant":           {&pb.ProposeDoseRequest{TargetKs: 3, Plant: "weld", ItemCode: "weld"}, codes.InvalidArgument, "plant", "not both"},
		"a mordant":                {&pb.ProposeDoseRequest{TargetKs: 3, ItemCode: "alum"}, codes.InvalidArgument, "item_code", "with a dyestuff"},
		"no such item":             {&pb.ProposeDoseRequest{TargetKs: 3, ItemCode: "lac"}, codes.NotFound, "item_code", "there is no item"},
		"no swatches":              {&pb.ProposeDoseRequest{TargetKs: 3, Plant: "birch"}, codes.FailedPrecondition, "", "the swatch book holds no birch on wool"},
		"another part":             {&pb.ProposeDoseRequest{TargetKs: 3, Part: "root"}, codes.FailedPrecondition, "", "the swatch book holds no weld on wool"},
		"another plant's parcel":   {&pb.ProposeDoseRequest{TargetKs: 3, Plant: "weld", ParcelCode: madder}, codes.InvalidArgument, "parcel_code", "is madder, and the dose is for weld"},
		"no such parcel":           {&pb.ProposeDoseRequest{TargetKs: 3, ParcelCode: "P99"}, codes.NotFound, "parcel", "P99"},
		"another mordant":          {&pb.ProposeDoseRequest{TargetKs: 3, Mordants: []string{"copperas"}}, codes.FailedPrecondition, "", "no swatch had copperas: there is potassium alum (6)"},
		"an empty mordant":         {&pb.ProposeDoseRequest{TargetKs: 3, Mordants: []string{"alum", ""}}, codes.InvalidArgument, "mordants[1]", "is empty"},
		"no such standard":         {&pb.ProposeDoseRequest{StandardCode: "blue"}, codes.NotFound, "standard_code", "there is no standard"},
		"a standard by colour":     {&pb.ProposeDoseRequest{StandardCode: "by-eye"}, codes.FailedPrecondition, "standard_code", "kept as a colour alone"},
		"deeper than the swatches": {&pb.ProposeDoseRequest{StandardCode: "deep"}, codes.FailedPrecondition, "", "they go from 20 to 80 % WOF"},
		"paler than the swatches":  {&pb.ProposeDoseRequest{StandardCode: "pale"}, codes.FailedPrecondition, "", "dye a paler swatch"},
		"no such lot":              {&pb.ProposeDoseRequest{LotCode: "L9"}, codes.NotFound, "lot_code", "there is no lot"},
		"no lot":                   {&pb.ProposeDoseRequest{LotCode: "R9"}, codes.InvalidArgument, "lot_code", "such as L7"},
		"bright undyed cloth":      {&pb.ProposeDoseRequest{StandardCode: "gold", Ground: bright}, codes.InvalidArgument, "ground", "brightener"},
		"undyed cloth never read":  {&pb.ProposeDoseRequest{StandardCode: "gold", GroundItemCode: "wool-strip"}, codes.FailedPrecondition, "", "never read"},
	} {
		_, err := s.Depth.ProposeDose(s.Ctx, onWool(c.q))
		if err == nil {
			t.Errorf("%s was answered", name)
			continue
		}
		saysNo(t, err, c.code, c.field, c.says)
	}
	_, err := s.Depth.ProposeDose(s.Ctx, &pb.ProposeDoseRequest{TargetKs: 3, Plant: "weld", Fibre: "moss"})
	saysNo(t, err, codes.InvalidArgument, "fibre", "use one of wool")
}
