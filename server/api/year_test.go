package api_test

import (
	"fmt"
	"math/big"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

func year(h *apitest.House, from, to string) (*pb.GetYearResponse, error) {
	return h.Logbook.GetYear(h.Ctx, &pb.GetYearRequest{From: from, To: to})
}

// figures are a line's columns in the order of the equation.
func figures(l *pb.YearLine) [8]string {
	return [8]string{l.GetOpening().GetValue(), l.GetIn().GetValue(), l.GetFound().GetValue(), l.GetUsed().GetValue(), l.GetSpoiled().GetValue(), l.GetSentBack().GetValue(),
		l.GetCounted().GetValue(), l.GetBook().GetValue()}
}

// Two years of one bag, worked by hand. 2024: 500 g in, 40 g spoiled on New
// Year's Eve at 23:30 in Oslo, which is still 2024 there. 2025: 100 g sent back,
// 10 g spoiled and taken back, a count of 355 g, 5 g short, in the last hour of
// the year, written down now.
func TestAYearAgainstTheShelf(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	fine(h.Studio.UpdateStudio(h.Ctx, &pb.UpdateStudioRequest{RequestId: h.ID(), TimeZone: "Europe/Oslo"}))(h)
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	p := fine(h.Stock.ReceiveDelivery(h.Ctx, &pb.ReceiveDeliveryRequest{RequestId: h.ID(), ItemCode: "alum", Amount: h.Amount("500g"), HappenedAt: at(t, "2024-05-14T08:00:00Z")}))(h).GetParcel().GetCode()
	fine(spoil(h, p, "40g", at(t, "2024-12-31T22:30:00Z")))(h)
	fine(h.Stock.WriteOffParcel(h.Ctx, &pb.WriteOffParcelRequest{RequestId: h.ID(), ParcelCode: p, Amount: h.Amount("100g"), Reason: "grey", SendBack: true, HappenedAt: at(t, "2025-02-01T08:00:00Z")}))(h)
	slip := fine(spoil(h, p, "10g", at(t, "2025-03-01T08:00:00Z")))(h)
	fine(h.Stock.ReverseMovement(h.Ctx, &pb.ReverseMovementRequest{RequestId: h.ID(), MovementCode: slip.GetMovement().GetCode(), Reason: "another bag"}))(h)
	fine(count(h, p, "355g", at(t, "2025-12-31T22:00:00Z")))(h)
	for _, c := range []struct {
		from, to string
		want     [8]string
	}{
		{"2024-01-01", "2024-12-31", [8]string{"0", "500", "0", "0", "40", "0", "0", "460"}},
		{"2025-01-01", "2025-12-31", [8]string{"460", "0", "0", "0", "0", "100", "-5", "355"}},
		{"2024-01-01", "2025-12-31", [8]string{"0", "500", "0", "0", "40", "100", "-5", "355"}},
	} {
		items := fine(year(h, c.from, c.to))(h).GetItems()
		if len(items) != 1 || figures(items[0].GetParcels()[0]) != c.want || figures(items[0].GetSum()) != c.want || !items[0].GetSum().GetLate() {
			t.Errorf("%s to %s: %v", c.from, c.to, items)
		}
	}
	last := fine(year(h, "2025-01-01", "2025-12-31"))(h).GetItems()[0].GetParcels()[0].GetLastCount()
	if last.GetCounted().GetValue() != "355" || last.GetBook().GetValue() != "360" || last.GetDifference().GetValue() != "-5" || last.GetReason() != "stocktaking" {
		t.Errorf("%v", last)
	}
	if early := fine(year(h, "2024-01-01", "2024-12-31"))(h).GetItems()[0].GetParcels()[0]; early.GetLastCount() != nil {
		t.Errorf("not counted by then: %v", early)
	}
	if none := fine(year(h, "2023-01-01", "2023-12-31"))(h).GetItems(); len(none) != 0 {
		t.Errorf("before anything came: %v", none)
	}
	for _, bad := range []struct{ from, to, field string }{{"", "2025-12-31", "from"}, {"2025-01-01", "", "to"}, {"2025", "2025-12-31", "from"}, {"2025-01-01", "2024-12-31", "to"}} {
		_, err := year(h, bad.from, bad.to)
		saysNo(t, err, codes.InvalidArgument, bad.field, "")
	}
	_, err := h.Logbook.GetYear(h.Ctx, &pb.GetYearRequest{From: "2025-01-01", To: "2025-12-31", ItemCode: "weld"})
	saysNo(t, err, codes.NotFound, "item_code.item", "weld")
}

// The choir's bags: what the pots used is used, what a lot was issued is used,
// and a corrected record is in the books once.
func TestAYearOfTheChoir(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	was := c.stageOf(c.a, 1)
	fine(c.correct(&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "read 160 as 162", Used: []*pb.Taken{{ParcelCode: was.GetUsed()[0].GetParcelCode(), Amount: c.Amount("160g")}}}))(c.House)
	want := map[string][8]string{
		"alum": {"0", "500", "0", "160", "0", "0", "0", "340"}, "tunic": {"0", "10", "0", "10", "0", "0", "0", "0"}, "silk-strip": {"0", "36", "0", "36", "0", "0", "0", "0"},
	}
	now := time.Now()
	for _, item := range fine(year(c.House, now.AddDate(-1, 0, 0).Format(time.DateOnly), now.AddDate(0, 0, 1).Format(time.DateOnly)))(c.House).GetItems() {
		code := item.GetSum().GetItemCode()
		if w, named := want[code]; named && figures(item.GetSum()) != w {
			t.Errorf("%s: %v", code, figures(item.GetSum()))
		}
		delete(want, code)
	}
	if len(want) > 0 {
		t.Errorf("not in the books: %v", want)
	}
}

// grams reads an exact decimal.
func exact(t *rapid.T, a *pb.Amount) *big.Rat {
	r, ok := new(big.Rat).SetString(a.GetValue())
	if !ok {
		t.Fatalf("%v is no number", a)
	}
	return r
}

// Whatever happened, in whatever order it was written down, cut at any day:
// opening + in + found − used − spoiled − sent back + counted is the book, one
// period opens as the last one closed, and the last one closes with what is on
// hand.
func TestYearsCloseAndOpenAlike(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	started, runs := time.Now(), 0
	rapid.Check(t, func(rt *rapid.T) {
		if runs++; runs > enoughRuns && time.Since(started) > modelFor {
			return
		}
		s := &yearRun{h: h}
		for range rapid.IntRange(5, 15).Draw(rt, "acts") {
			rapid.SampledFrom([]func(*rapid.T){s.deliver, s.spoil, s.count, s.blend, s.reverse}).Draw(rt, "act")(rt)
		}
		s.holds(rt)
	})
}

type yearRun struct {
	h         *apitest.House
	bags      []string
	movements []string
}

func (s *yearRun) day(t *rapid.T) *timestamppb.Timestamp {
	return ago(time.Duration(rapid.IntRange(1, 700).Draw(t, "days ago")) * 24 * time.Hour)
}

func (s *yearRun) grams(t *rapid.T) *pb.Amount {
	return s.h.Amount(fmt.Sprintf("%dmg", rapid.IntRange(1, 90_000).Draw(t, "mg")))
}

func (s *yearRun) bag(t *rapid.T) string {
	if len(s.bags) == 0 {
		s.deliver(t)
	}
	return rapid.SampledFrom(s.bags).Draw(t, "bag")
}

func (s *yearRun) moved(m *pb.Movement, err error) {
	if err == nil && m.GetCode() != "" {
		s.movements = append(s.movements, m.GetCode())
	}
}

func (s *yearRun) deliver(t *rapid.T) {
	r := fine(s.h.Stock.ReceiveDelivery(s.h.Ctx, &pb.ReceiveDeliveryRequest{RequestId: s.h.ID(), ItemCode: "alum", Amount: s.grams(t), HappenedAt: s.day(t)}))(s.h)
	s.bags = append(s.bags, r.GetParcel().GetCode())
	s.moved(r.GetMovement(), nil)
}

func (s *yearRun) spoil(t *rapid.T) {
	r, err := s.h.Stock.WriteOffParcel(s.h.Ctx, &pb.WriteOffParcelRequest{RequestId: s.h.ID(), ParcelCode: s.bag(t), Amount: s.grams(t), Reason: "spilt", HappenedAt: s.day(t),
		SendBack: rapid.Bool().Draw(t, "send back")})
	s.moved(r.GetMovement(), err)
}

func (s *yearRun) count(t *rapid.T) {
	r, err := s.h.Stock.CountParcel(s.h.Ctx, &pb.CountParcelRequest{RequestId: s.h.ID(), ParcelCode: s.bag(t), Counted: s.grams(t), HappenedAt: s.day(t)})
	s.moved(r.GetMovement(), err)
}

func (s *yearRun) blend(t *rapid.T) {
	from := s.grams(t)
	r, err := s.h.Stock.MakeParcel(s.h.Ctx, &pb.MakeParcelRequest{RequestId: s.h.ID(), ItemCode: "alum", Amount: from, From: []*pb.Taken{{ParcelCode: s.bag(t), Amount: from}}, HappenedAt: s.day(t)})
	if err == nil {
		s.bags = append(s.bags, r.GetParcel().GetCode())
	}
	s.moved(r.GetMovement(), err)
}

func (s *yearRun) reverse(t *rapid.T) {
	if len(s.movements) > 0 {
		_, _ = s.h.Stock.ReverseMovement(s.h.Ctx, &pb.ReverseMovementRequest{RequestId: s.h.ID(), MovementCode: rapid.SampledFrom(s.movements).Draw(t, "movement"), Reason: "slip"})
	}
}

func (s *yearRun) holds(t *rapid.T) {
	today := time.Now().UTC()
	cut := today.AddDate(0, 0, -rapid.IntRange(1, 699).Draw(t, "cut"))
	before := s.lines(t, today.AddDate(-3, 0, 0), cut)
	after := s.lines(t, cut.AddDate(0, 0, 1), today)
	for _, bag := range s.bags {
		held := exact(t, fine(s.h.Stock.GetParcel(s.h.Ctx, &pb.GetParcelRequest{Code: bag}))(s.h).GetParcel().GetOnHand())
		closed, opened, left := new(big.Rat), new(big.Rat), new(big.Rat)
		if l := before[bag]; l != nil {
			closed = exact(t, l.GetBook())
		}
		if l := after[bag]; l != nil {
			opened, left = exact(t, l.GetOpening()), exact(t, l.GetBook())
		}
		if closed.Cmp(opened) != 0 || left.Cmp(held) != 0 {
			t.Fatalf("%s closed with %s, opened with %s, closed with %s, holds %s", bag, closed, opened, left, held)
		}
	}
}

// lines of a period by parcel, each held to its equation.
func (s *yearRun) lines(t *rapid.T, from, to time.Time) map[string]*pb.YearLine {
	by := map[string]*pb.YearLine{}
	for _, item := range fine(year(s.h, from.Format(time.DateOnly), to.Format(time.DateOnly)))(s.h).GetItems() {
		sum := new(big.Rat)
		for _, l := range item.GetParcels() {
			by[l.GetParcelCode()] = l
			book := new(big.Rat)
			for _, a := range []*pb.Amount{l.GetOpening(), l.GetIn(), l.GetFound(), l.GetCounted()} {
				book.Add(book, exact(t, a))
			}
			for _, a := range []*pb.Amount{l.GetUsed(), l.GetSpoiled(), l.GetSentBack()} {
				book.Sub(book, exact(t, a))
			}
			if book.Cmp(exact(t, l.GetBook())) != 0 {
				t.Fatalf("%v is no sum", l)
			}
			sum.Add(sum, book)
		}
		if sum.Cmp(exact(t, item.GetSum().GetBook())) != 0 {
			t.Fatalf("%v is not the sum of its parcels", item.GetSum())
		}
	}
	return by
}
