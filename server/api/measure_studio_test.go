package api_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	pb "dyelot/proto/dyelot/v1"
)

// ofCSV is a table beside the rules that it also holds, by column name.
func ofCSV(t *testing.T, file string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open("../../inventory/colour/testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %v", file, err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// inputs are the curves of spectra_inputs.csv, 400 to 700 nm by 10.
func inputs(t *testing.T) map[string]*pb.Spectrum {
	t.Helper()
	curves := map[string]*pb.Spectrum{}
	for _, row := range ofCSV(t, "spectra_inputs.csv") {
		s := &pb.Spectrum{FirstNm: 400, StepNm: 10}
		for nm := 400; nm <= 700; nm += 10 {
			s.Reflectance = append(s.Reflectance, number(t, row[strconv.Itoa(nm)]))
		}
		curves[row["sample"]] = s
	}
	return curves
}

// flat is a grey of one reflectance, 400 to 700 nm by 10.
func flat(r float64) *pb.Spectrum {
	s := &pb.Spectrum{FirstNm: 400, StepNm: 10}
	for range 31 {
		s.Reflectance = append(s.Reflectance, r)
	}
	return s
}

func spotsOf(spectra ...*pb.Spectrum) (spots []*pb.Spot) {
	for _, s := range spectra {
		spots = append(spots, &pb.Spot{Spectrum: s})
	}
	return spots
}

func labSpots(labs ...[3]float64) (spots []*pb.Spot) {
	for _, l := range labs {
		spots = append(spots, &pb.Spot{Lab: &pb.LabValues{L: l[0], A: l[1], B: l[2]}})
	}
	return spots
}

// dry is a measurement of dry, rested cloth.
func dry(lot string, spots ...*pb.Spot) *pb.Measurement {
	return &pb.Measurement{LotCode: lot, Spots: spots, Condition: "dry", Rested: true, Instrument: "spectro-1"}
}

func (c *choir) measures() pb.MeasureServiceClient { return pb.NewMeasureServiceClient(c.Conn) }

func (c *choir) measure(ms ...*pb.Measurement) ([]*pb.Measurement, error) {
	resp, err := c.measures().RecordMeasurements(c.Ctx, &pb.RecordMeasurementsRequest{RequestId: c.ID(), Measurements: ms})
	return resp.GetMeasurements(), err
}

func (c *choir) shown(code string) *pb.Measurement {
	c.t.Helper()
	return fine(c.measures().GetMeasurement(c.Ctx, &pb.GetMeasurementRequest{Code: code}))(c.House).GetMeasurement()
}

// dyedTo issues one lot of two tunics, with witness cloth, of a standard of its own.
func (c *choir) dyedTo(std *pb.ShadeStandard) (lot string, tags []string) {
	c.t.Helper()
	fine(c.Recipes.CreateShadeStandard(c.Ctx, &pb.CreateShadeStandardRequest{RequestId: c.ID(), Standard: std}))(c.House)
	fine(c.Recipes.CreateColourway(c.Ctx, &pb.CreateColourwayRequest{RequestId: c.ID(), Colourway: &pb.Colourway{Code: std.GetCode(), StandardCode: std.GetCode(), RecipeCode: "weld-olive"}}))(c.House)
	blanks, strip := c.Receive("tunic", "2pc"), c.Receive("silk-strip", "18g")
	c.Receive("weld-dry", "500g")
	planned := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{
		RequestId: c.ID(), ColourwayCode: std.GetCode(), WitnessParcelCode: strip, WitnessEach: c.Amount("18g"), SharedVessels: map[int32]string{1: "tub-60", 2: "tub-60"},
		Loads: []*pb.Load{{VesselCode: "pot-40", Blanks: []*pb.Blanks{{ParcelCode: blanks, Masses: []*pb.Amount{c.Amount("104g"), c.Amount("105g")}}}}},
	}))(c.House).GetRun().GetLots()[0]
	fine(c.Runs.IssueLot(c.Ctx, &pb.IssueLotRequest{RequestId: c.ID(), LotCode: planned.GetCode()}))(c.House)
	for _, g := range planned.GetGarments() {
		tags = append(tags, g.GetTag())
	}
	return planned.GetCode(), tags
}
