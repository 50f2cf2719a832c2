package api

import (
	"context"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/study"
	"dyelot/server/store"
)

// LoadStudies puts published tables into the books; those that are there stay as
// they are.
func (s *WearServer) LoadStudies(ctx context.Context, req *dyelotv1.LoadStudiesRequest) (*dyelotv1.LoadStudiesResponse, error) {
	keys := req.GetKeys()
	if len(keys) == 0 {
		for _, k := range study.Studies() {
			keys = append(keys, k.Key)
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.LoadStudiesResponse, error) {
		resp := &dyelotv1.LoadStudiesResponse{}
		asked := map[string]bool{}
		for i, key := range keys {
			k, results, err := study.Read(key)
			if err != nil {
				return nil, onField("keys["+strconv.Itoa(i)+"]", err)
			}
			fresh, err := tx.AddStudy(k, results)
			if err != nil {
				return nil, err
			}
			if asked[key] = true; fresh {
				resp.Loaded++
			}
		}
		there, err := tx.Studies()
		for _, k := range there {
			if asked[k.Key] {
				resp.Studies = append(resp.Studies, encodeStudy(k))
			}
		}
		return resp, err
	})
}

// ListStudies lists what the books hold, and behind it what could be loaded.
func (s *WearServer) ListStudies(ctx context.Context, _ *dyelotv1.ListStudiesRequest) (*dyelotv1.ListStudiesResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListStudiesResponse, error) {
		loaded, err := tx.Studies()
		resp := &dyelotv1.ListStudiesResponse{}
		there := map[string]bool{}
		for _, k := range loaded {
			there[k.Key] = true
			resp.Studies = append(resp.Studies, encodeStudy(k))
		}
		for _, k := range study.Studies() {
			if !there[k.Key] {
				resp.Studies = append(resp.Studies, encodeStudy(store.LoadedStudy{Study: k}))
			}
		}
		return resp, err
	})
}

// FindStudyResults looks printed cells up.
func (s *WearServer) FindStudyResults(ctx context.Context, req *dyelotv1.FindStudyResultsRequest) (*dyelotv1.FindStudyResultsResponse, error) {
	q, err := decodeSearch(req)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.FindStudyResultsResponse, error) {
		results, err := tx.FindStudyResults(q)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.FindStudyResultsResponse{}
		from := map[string]bool{}
		for _, r := range results {
			from[r.Study] = true
			resp.Results = append(resp.Results, encodeStudyResult(r))
		}
		if n := len(results); n == q.Limit {
			resp.NextPageToken = nextPage(results[n-1].Study + " " + strconv.Itoa(results[n-1].Line))
		}
		loaded, err := tx.Studies()
		for _, k := range loaded {
			if from[k.Key] {
				resp.Studies = append(resp.Studies, encodeStudy(k))
			}
		}
		return resp, err
	})
}

func decodeSearch(req *dyelotv1.FindStudyResultsRequest) (q store.StudySearch, err error) {
	var after string
	if q.Limit, after, err = page(req.GetPageSize(), req.GetPageToken()); err != nil {
		return q, err
	}
	if after != "" {
		key, line, _ := strings.Cut(after, " ")
		if q.AfterKey = key; key != "" {
			q.AfterLine, err = strconv.Atoi(line)
		}
		if err != nil {
			return q, fault.BadField("page_token", "is not one that this service gave")
		}
	}
	if word := strings.TrimSpace(req.GetMordant()); word != "" {
		m := study.MordantOf(word)
		q.Mordant = &m
	}
	if words := study.FibreWords(req.GetFibre()); len(words) == 1 {
		q.Fibre = words[0]
	} else if len(words) > 1 {
		return q, fault.BadField("fibre", "%.40q names %d fibres: ask for one", req.GetFibre(), len(words))
	}
	if q.Components, err = study.Asked(req.GetComponent()); err != nil {
		return q, err
	}
	q.Least, err = study.LeastGrade(req.GetLeastGrade(), q.Components)
	return q, err
}

func encodeStudy(k store.LoadedStudy) *dyelotv1.Study {
	return &dyelotv1.Study{Key: k.Key, Citation: k.Citation, Licence: k.Licence, Dye: k.Dye, Substrate: k.Substrate, Caveats: k.Caveats, Results: int32(k.Results), LoadedAt: stamp(k.LoadedAt)}
}

func encodeStudyResult(r study.Result) *dyelotv1.StudyResult {
	m := &dyelotv1.StudyResult{StudyKey: r.Study, Line: int32(r.Line), Table: r.Table, Sample: r.Sample, Mordant: r.Mordant, SaltName: r.SaltName, Fibre: r.Fibre,
		Conditions: r.Conditions, Component: r.Component, Title: r.Component, Printed: r.Printed, Scale: string(r.Scale), Note: r.Note}
	for _, c := range study.Components() {
		if c.Key == r.Component {
			m.Title = c.Title
		}
	}
	if r.Grade != 0 {
		m.Grade = r.Grade.String()
	}
	return m
}
