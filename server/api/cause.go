package api

import (
	"context"
	"fmt"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/cause"
	"dyelot/inventory/fault"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// CauseServer answers why garments come back.
type CauseServer struct {
	dyelotv1.UnsafeCauseServiceServer
	store *store.Store
}

// NewCauseServer answers from a store.
func NewCauseServer(s *store.Store) *CauseServer { return &CauseServer{store: s} }

const (
	fewSuspects = 20
	// mostLeft bounds a population: its every bath is read. 50 000 garments are
	// more than a small label sends out in ten years.
	mostLeft = 50_000
)

// FindCause looks for what returns have in common.
func (s *CauseServer) FindCause(ctx context.Context, req *dyelotv1.FindCauseRequest) (*dyelotv1.FindCauseResponse, error) {
	limit := req.GetLimit()
	switch {
	case limit < 0:
		return nil, fault.BadField("limit", "%d is negative", limit)
	case limit == 0:
		limit = fewSuspects
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.FindCauseResponse, error) {
		q, err := askCause(tx, req)
		if err != nil {
			return nil, err
		}
		books, pieces, err := q.load(tx)
		if err != nil {
			return nil, err
		}
		answer, err := books.Case(pieces).Find()
		if err != nil {
			return nil, err
		}
		cloths, err := q.cloths(tx, books, answer)
		if err != nil {
			return nil, err
		}
		m := q.encode(answer, cloths, int(min(limit, maxPage)))
		for _, p := range pieces {
			if p.Returned {
				m.ReturnedTags = append(m.ReturnedTags, p.Tag)
			}
		}
		out, err := tx.GarmentsByID(q.leftOut)
		for _, g := range out {
			m.LeftOutTags = append(m.LeftOutTags, g.Tag)
		}
		return m, err
	})
}

// question is a request, decoded: who came back, and whom they are compared with.
type question struct {
	words    string // the population
	left     []store.Left
	returned map[int64]store.Return // by garment, of the population
	leftOut  []int64                // garments that came back and are not of it
}

func askCause(tx *store.Tx, req *dyelotv1.FindCauseRequest) (*question, error) {
	zone, err := tx.Zone()
	if err != nil {
		return nil, err
	}
	back, err := askedReturns(tx, req, zone)
	if err != nil {
		return nil, err
	}
	filter, words, err := askedPopulation(tx, req, zone, back)
	if err != nil {
		return nil, err
	}
	q := &question{returned: map[int64]store.Return{}}
	if q.left, err = tx.Left(filter); err != nil {
		return nil, err
	}
	if len(q.left) == filter.Limit {
		return nil, fault.Refuse("POPULATION_LARGE", "more than %d garments left the studio then: narrow it by days or by colourway", mostLeft).With("most", fmt.Sprint(mostLeft))
	}
	if len(q.left) == 0 {
		return nil, fault.Refuse("NO_RETURNS", "there are no %s, so there is nobody to compare with", words)
	}
	at := map[int64]bool{}
	for _, l := range q.left {
		at[l.Garment] = true
	}
	for _, b := range back {
		if at[b.Garment] {
			q.returned[b.Garment] = b
		} else {
			q.leftOut = append(q.leftOut, b.Garment)
		}
	}
	q.words = fmt.Sprintf("all %d %s", len(q.left), words)
	if len(q.returned) == 0 {
		return nil, fault.Refuse("NO_RETURNS", "none of %s is among the returns that were asked for, so there is nothing to explain", q.words)
	}
	return q, nil
}

// askedReturns are those that were named, or that came back since a day with a
// complaint of these words.
func askedReturns(tx *store.Tx, req *dyelotv1.FindCauseRequest, zone *time.Location) ([]store.Return, error) {
	words := strings.Fields(req.GetComplaint())
	if len(req.GetTags()) == 0 {
		since, err := pastDay(tx, "since", req.GetSince())
		if err != nil {
			return nil, err
		}
		from := tx.Now.AddDate(-1, 0, 0)
		if !since.IsZero() {
			from = startOf(since, zone)
		}
		back, err := tx.ReturnsSince(from, words)
		if err == nil && len(back) == 0 {
			saying := ""
			if len(words) > 0 {
				saying = fmt.Sprintf(" with %q in its complaint", strings.Join(words, " "))
			}
			err = fault.Refuse("NO_RETURNS", "nothing came back since %s%s, so there is nothing to explain", from.In(zone).Format(time.DateOnly), saying)
		}
		return back, err
	}
	switch {
	case req.GetSince() != "":
		return nil, fault.BadField("since", "name tags, or a day since when, not both")
	case len(words) > 0:
		return nil, fault.BadField("complaint", "name tags, or words of complaints, not both")
	}
	return returnsTagged(tx, req.GetTags())
}

func returnsTagged(tx *store.Tx, tags []string) ([]store.Return, error) {
	ids, err := taggedIDs(tx, "tags", tags)
	if err != nil {
		return nil, err
	}
	back, err := tx.ReturnsOf(ids)
	if err != nil {
		return nil, err
	}
	came := map[int64]bool{}
	for _, b := range back {
		came[b.Garment] = true
	}
	for i, id := range ids {
		if !came[id] {
			return nil, fault.BadField(fmt.Sprintf("tags[%d]", i), "%s has not come back: dyelot garment take-back notes a return", tags[i])
		}
	}
	return back, nil
}

// taggedIDs are the ids of garments in the order of their tags, each once.
func taggedIDs(tx *store.Tx, field string, tags []string) ([]int64, error) {
	serials := make([]int64, len(tags))
	for i, tag := range tags {
		var err error
		if serials[i], err = trace.ParseTag(tag); err != nil {
			return nil, atField(fmt.Sprintf("%s[%d]", field, i), err)
		}
	}
	known, err := tx.GarmentsBySerial(serials)
	if err != nil {
		return nil, err
	}
	byTag, seen := map[string]int64{}, map[int64]bool{}
	for _, g := range known {
		byTag[g.Tag] = g.ID
	}
	ids := make([]int64, len(tags))
	for i, s := range serials {
		id, is := byTag[properTag(s)]
		switch {
		case !is:
			return nil, fault.Missing("garment", properTag(s))
		case seen[id]:
			return nil, fault.BadField(fmt.Sprintf("%s[%d]", field, i), "%s is named twice", tags[i])
		}
		ids[i], seen[id] = id, true
	}
	return ids, nil
}

// atField names the place in a list that a fault is about.
func atField(field string, err error) error {
	if f, is := fault.Of(err); is {
		return f.At(field)
	}
	return err
}

func startOf(day time.Time, zone *time.Location) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, zone)
}

// askedPopulation is whom the returns are compared with. Unless days are given,
// it reaches back a year, or to the day on which the first of the returns left.
func askedPopulation(tx *store.Tx, req *dyelotv1.FindCauseRequest, zone *time.Location, back []store.Return) (store.LeftFilter, string, error) {
	f := store.LeftFilter{Until: tx.Now.Add(maxAhead), Limit: mostLeft + 1}
	from, err := pastDay(tx, "from", req.GetFrom())
	if err != nil {
		return f, "", err
	}
	until, err := day("until", req.GetUntil())
	if err != nil {
		return f, "", err
	}
	if from.IsZero() {
		first := tx.Now.AddDate(-1, 0, 0)
		for _, b := range back {
			if b.LeftAt.Before(first) {
				first = b.LeftAt
			}
		}
		y, m, d := first.In(zone).Date()
		from = time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	if !until.IsZero() && until.Before(from) {
		return f, "", fault.BadField("until", "%s lies before %s", showDay(until), showDay(from))
	}
	f.From = startOf(from, zone)
	words := "garments that left the studio since " + showDay(from)
	if !until.IsZero() {
		f.Until = startOf(until.AddDate(0, 0, 1), zone)
		words = fmt.Sprintf("garments that left the studio from %s to %s", showDay(from), showDay(until))
	}
	var names []string
	for i, code := range req.GetColourwayCodes() {
		c, err := tx.ColourwayByCode(code)
		if err != nil {
			return f, "", atField(fmt.Sprintf("colourway_codes[%d]", i), err)
		}
		f.ColourwayIDs, names = append(f.ColourwayIDs, c.ID), append(names, c.Code)
	}
	if len(names) > 0 {
		words += ", of colourway " + strings.Join(names, " or ")
	}
	if code := req.GetCommissionCode(); code != "" {
		w, err := tx.CommissionByCode("commission_code", code)
		if err != nil {
			return f, "", err
		}
		f.CommissionID = w.ID
		words += ", for commission " + store.Code('W', w.ID)
	}
	return f, words, nil
}

func (q *question) encode(a cause.Answer, cloths []cause.Cloth, limit int) *dyelotv1.FindCauseResponse {
	m := &dyelotv1.FindCauseResponse{Population: q.words, Garments: int32(a.Garments), Returned: int32(a.Returned), LookedAt: int32(a.LookedAt),
		SuspectCount: int32(len(a.Suspects)), Everywhere: encodeFactors(a.Everywhere), Notes: a.Notes(), Method: a.Method()}
	for i, s := range a.Suspects[:min(limit, len(a.Suspects))] {
		m.Suspects = append(m.Suspects, &dyelotv1.CauseSuspect{Rank: int32(i + 1), Factors: encodeFactors(s.Factors), Exposed: int32(s.Exposed), ExposedReturned: int32(s.ExposedReturned),
			Expected: s.Expected, PValue: s.P, Corrected: s.Corrected, WorthALook: s.WorthALook(), Text: a.Counts(s), Relations: a.Relations(s), Tags: s.Tags})
	}
	for _, p := range a.Apart(cloths) {
		m.Partings = append(m.Partings, &dyelotv1.CauseParting{A: encodeFactor(p.A), B: encodeFactor(p.B), Inseparable: p.Inseparable,
			OnlyALotCodes: lotsOfCloths(p.OnlyA.Cloths), OnlyBLotCodes: lotsOfCloths(p.OnlyB.Cloths), Text: p.Says()})
	}
	return m
}

func lotsOfCloths(cloths []cause.Cloth) []string {
	var codes []string
	for _, c := range cloths {
		codes = append(codes, c.Lot)
	}
	return codes
}

func encodeFactor(f cause.Factor) *dyelotv1.CauseFactor {
	return &dyelotv1.CauseFactor{Kind: string(f.Kind), Code: f.Code, Name: f.Name}
}

func encodeFactors(fs []cause.Factor) []*dyelotv1.CauseFactor {
	var ms []*dyelotv1.CauseFactor
	for _, f := range fs {
		ms = append(ms, encodeFactor(f))
	}
	return ms
}
