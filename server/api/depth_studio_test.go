package api_test

import (
	"database/sql"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/lib/pq"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// dipUndyed wool reads 0.55 at 400 nm and 0.75 at 700 nm.
func dipUndyed(nm float64) float64 { return 0.55 + 0.20*(nm-400)/300 }

// dipYellow takes up light as a flavonoid does: most at 400 nm, next to nothing
// from 520 nm on.
func dipYellow(nm float64) float64 { return math.Max(0.004, 1-(nm-400)/125) }

// dipCloth is made to have, over undyed wool, a K/S at 400 nm: R = 1 + K − √(K² + 2K)
// turns (1 − R)²/2R round.
func dipCloth(depth, step float64) *pb.Spectrum {
	m := &pb.Spectrum{FirstNm: 400, StepNm: int32(step)}
	for nm := 400.0; nm <= 700; nm += step {
		k := (1-dipUndyed(nm))*(1-dipUndyed(nm))/(2*dipUndyed(nm)) + depth*dipYellow(nm)
		m.Reflectance = append(m.Reflectance, 1+k-math.Sqrt(k*k+2*k))
	}
	return m
}

// dipBends is K/S by % WOF of a weld on wool that fills at 12.
func dipBends(wof float64) float64 { return 12 * wof / (14 + wof) }

// dipsOf are test dips of a harvest of a strength: 1 dyes as dipBends says.
func dipsOf(strength float64, doses ...float64) (ds []*pb.TestDip) {
	for _, w := range doses {
		ds = append(ds, &pb.TestDip{PercentWof: fmt.Sprint(w), Spectrum: dipCloth(dipBends(strength*w), 10)})
	}
	return ds
}

// weldShed has two harvests of weld, a bag of alum and a blank.
type weldShed struct {
	*apitest.House
	first, second, alum string
}

func openShed(t *testing.T) *weldShed {
	t.Helper()
	h := apitest.New(t)
	h.Item(&pb.Item{Code: "weld", Kind: "dyestuff", Plant: "Weld"})
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	h.Item(&pb.Item{Code: "madder", Kind: "dyestuff", Plant: "madder"})
	h.Item(&pb.Item{Code: "wool-strip", Kind: "witness-cloth", Fibres: []*pb.FibrePart{{Fibre: "wool", Percent: "100"}}})
	return &weldShed{h, h.Receive("weld", "5kg"), h.Receive("weld", "5kg"), h.Receive("alum", "1kg")}
}

// asked is a series that nothing is wrong with.
func (s *weldShed) asked() *pb.RecordTestDipsRequest {
	return &pb.RecordTestDipsRequest{RequestId: s.ID(), ParcelCode: s.second, ReferenceParcelCode: s.first, Fibre: "wool", Mordant: "alum 12 %",
		Ground: dipCloth(0, 10), Dips: dipsOf(0.9, 1, 2, 4), ReferenceDips: dipsOf(1, 1, 2, 4), By: "bench-1"}
}

func (s *weldShed) record(q *pb.RecordTestDipsRequest) *pb.TestDips {
	s.T.Helper()
	return fine(s.Depth.RecordTestDips(s.Ctx, q))(s.House).GetDips()
}

func (s *weldShed) strength(parcel string) string {
	s.T.Helper()
	return fine(s.Stock.GetParcel(s.Ctx, &pb.GetParcelRequest{Code: parcel}))(s.House).GetParcel().GetStrengthPercent()
}

// penned runs a statement behind the service's back, as tests may: pages of the
// swatch book and spectra of standards are another service's to write.
func penned(h *apitest.House, statement string, args ...any) (id int64) {
	h.T.Helper()
	db, err := sql.Open("postgres", h.DSN)
	if err != nil {
		h.T.Fatal(err)
	}
	defer db.Close()
	if err := db.QueryRowContext(h.T.Context(), statement, args...).Scan(&id); err != nil {
		h.T.Fatal(err)
	}
	return id
}

// bookPage is one page of the swatch book.
type bookPage struct {
	wof, ks float64
	plant   string // weld
	baths   string // potassium-alum
	parcel  string
	reads   *pb.Spectrum // by ks
	bare    bool         // its undyed cloth was not read
	step    float64      // 20
}

// swatch writes a page and returns its code.
func (s *weldShed) swatch(p bookPage) string {
	s.T.Helper()
	if p.plant == "" {
		p.plant = "weld"
	}
	if p.step == 0 {
		p.step = 20
	}
	reads, ground := p.reads, any(pq.Array(dipCloth(0, p.step).Reflectance))
	if reads == nil {
		reads = dipCloth(p.ks, p.step)
	}
	if p.bare {
		ground = nil
	}
	var wof, parcel any
	if p.wof > 0 {
		wof = int64(math.Round(p.wof * 10_000))
	}
	if p.parcel != "" {
		parcel = strings.TrimPrefix(p.parcel, "P")
	}
	id := penned(s.House, `
		insert into swatch (name, fibre, plant, parcel_id, percent_wof, dyed_on, l, a, b, illuminant, observer, first_nm, step_nm, reflectance, ground, by_name, recorded_at, recorded_by)
		values ('trial', 'wool', $1, $2, $3, date '2026-07-01', 70, 0, 50, 'D65', 10, $4, $5, $6, $7, 'bench-1', now(), 1) returning id`,
		p.plant, parcel, wof, reads.GetFirstNm(), reads.GetStepNm(), pq.Array(reads.GetReflectance()), ground)
	if p.baths == "" {
		p.baths = "potassium-alum"
	}
	for i, b := range strings.Split(p.baths, ",") {
		if b == "none" {
			break
		}
		penned(s.House, `insert into swatch_bath (swatch_id, line, kind, substance, metal, percent_wof) values ($1, $2, 'mordant', $3, $4, 120000) returning line`,
			id, i+1, b, map[string]string{"potassium-alum": "Al", "copperas": "Fe"}[b])
	}
	return fmt.Sprintf("T%d", id)
}

// weldBook are swatches at 20 to 80 % WOF on a curve that bends to 10 and is
// half way there at 40 %.
func (s *weldShed) weldBook() {
	s.T.Helper()
	for _, w := range []float64{20, 30, 40, 50, 65, 80} {
		s.swatch(bookPage{wof: w, ks: 10 * w / (40 + w)})
	}
}

// groundOf keeps the undyed cloth of an item.
func (s *weldShed) groundOf(item string) {
	s.T.Helper()
	penned(s.House, `insert into ground_reading (item_id, first_nm, step_nm, reflectance, by_name, happened_at, recorded_at, recorded_by)
		select id, 400, 10, $2, 'bench-1', now(), now(), 1 from item where code = $1 returning id`, item, pq.Array(dipCloth(0, 10).Reflectance))
}

// standard keeps one whose depth over undyed wool is known.
func (s *weldShed) standard(code string, ks float64) string {
	s.T.Helper()
	fine(s.Recipes.CreateShadeStandard(s.Ctx, &pb.CreateShadeStandardRequest{RequestId: s.ID(),
		Standard: &pb.ShadeStandard{Code: code, Colour: &pb.Lab{L: 68, A: -3, B: 46}, Tolerance: "2"}}))(s.House)
	if ks > 0 {
		penned(s.House, `insert into standard_spectrum (standard_id, first_nm, step_nm, reflectance, recorded_at, recorded_by)
			select id, 400, 10, $2, now(), 1 from shade_standard where code = $1 returning standard_id`, code, pq.Array(dipCloth(ks, 10).Reflectance))
	}
	return code
}

func floats(m *pb.Spectrum) any { return pq.Array(m.GetReflectance()) }
