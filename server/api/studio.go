package api

import (
	"context"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/access"
	"dyelot/server/store"
)

// StudioServer answers StudioService.
type StudioServer struct {
	dyelotv1.UnsafeStudioServiceServer
	store   *store.Store
	version string
	backup  Backup
}

// NewStudioServer answers from a store; backup may be nil.
func NewStudioServer(s *store.Store, version string, backup Backup) *StudioServer {
	return &StudioServer{store: s, version: version, backup: backup}
}

func (s *StudioServer) GetStudio(ctx context.Context, _ *dyelotv1.GetStudioRequest) (*dyelotv1.GetStudioResponse, error) {
	caller := access.Caller(ctx)
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetStudioResponse, error) {
		studio, err := s.encodeStudio(tx)
		return &dyelotv1.GetStudioResponse{Studio: studio, Principal: caller.Name, Roles: access.Roles(caller.Roles)}, err
	})
}

func (s *StudioServer) encodeStudio(tx *store.Tx) (*dyelotv1.Studio, error) {
	st, err := tx.Studio()
	if err != nil {
		return nil, err
	}
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	schema, err := tx.SchemaVersion()
	return &dyelotv1.Studio{
		Name: st.Name, TimeZone: st.TimeZone, Currency: st.Currency, PoisonCentre: st.PoisonCentre,
		Today: showDay(today), ServerVersion: s.version, SchemaVersion: schema,
	}, err
}

func (s *StudioServer) UpdateStudio(ctx context.Context, req *dyelotv1.UpdateStudioRequest) (*dyelotv1.UpdateStudioResponse, error) {
	if zone := req.GetTimeZone(); zone != "" {
		if _, err := time.LoadLocation(zone); err != nil || zone == "Local" {
			return nil, fault.BadField("time_zone", "%.40q is not an IANA time zone such as Europe/Oslo", zone)
		}
	}
	if c := req.GetCurrency(); c != "" {
		if _, err := quantity.ParseMoney("0", c); err != nil {
			return nil, err
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.UpdateStudioResponse, error) {
		st, err := tx.Studio()
		if err != nil {
			return nil, err
		}
		for _, f := range []struct {
			is   *string
			want string
		}{{&st.Name, req.GetName()}, {&st.TimeZone, req.GetTimeZone()}, {&st.Currency, req.GetCurrency()}, {&st.PoisonCentre, req.GetPoisonCentre()}} {
			if f.want != "" {
				*f.is = f.want
			}
		}
		if err := tx.SetStudio(st); err != nil {
			return nil, err
		}
		studio, err := s.encodeStudio(tx)
		return &dyelotv1.UpdateStudioResponse{Studio: studio}, err
	})
}

// handCode checks a code that a person chooses and types.
func handCode(field, s string) error {
	if !stock.IsCode(s) {
		return fault.BadField(field, "%.50q is no code: lower case letters, digits and hyphens, 1 to 40, such as alum or pot-40", s)
	}
	return nil
}

// vesselUses are what a vessel may be kept for.
var vesselUses = []string{"dye", "mordant", "brew", "iron", "vat", "rinse"}

func (s *StudioServer) AddVessel(ctx context.Context, req *dyelotv1.AddVesselRequest) (*dyelotv1.AddVesselResponse, error) {
	v, err := decodeVessel(req.GetVessel())
	if err != nil {
		return nil, fault.In("vessel", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.AddVesselResponse, error) {
		if err := tx.AddVessel(v); err != nil {
			return nil, err
		}
		return &dyelotv1.AddVesselResponse{Vessel: encodeVessel(v)}, nil
	})
}

// usualFill is how full a pot is filled, common practice: 75 to 80 %.
const usualFill = 80

func decodeVessel(m *dyelotv1.Vessel) (v store.Vessel, err error) {
	if err = handCode("code", m.GetCode()); err != nil {
		return v, err
	}
	if v.Volume, err = amount("volume", m.GetVolume(), quantity.Volume); err != nil {
		return v, err
	}
	fill, given, err := percent("fill_percent", m.GetFillPercent())
	switch {
	case err != nil:
		return v, err
	case !given:
		fill = quantity.WholePercent(usualFill)
	case fill <= 0 || fill > quantity.WholePercent(100):
		return v, fault.BadField("fill_percent", "%s: a vessel is filled above 0 and to 100 %% at most", fill)
	}
	if len(m.GetUses()) == 0 {
		return v, fault.BadField("uses", "is needed: one or more of %v", vesselUses)
	}
	for _, u := range m.GetUses() {
		if !slices.Contains(vesselUses, u) {
			return v, fault.BadField("uses", "%.40q is not a use: one or more of %s", u, strings.Join(vesselUses, ", "))
		}
	}
	v.Code, v.Name, v.Fill, v.Uses, v.Note = m.GetCode(), m.GetName(), fill, m.GetUses(), m.GetNote()
	if v.Name == "" {
		v.Name = v.Code
	}
	return v, nil
}

func encodeVessel(v store.Vessel) *dyelotv1.Vessel {
	return &dyelotv1.Vessel{Code: v.Code, Name: v.Name, Volume: encode(v.Volume), FillPercent: v.Fill.Decimal(), Uses: v.Uses, Note: v.Note}
}

func (s *StudioServer) ListVessels(ctx context.Context, _ *dyelotv1.ListVesselsRequest) (*dyelotv1.ListVesselsResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListVesselsResponse, error) {
		vs, err := tx.Vessels()
		resp := &dyelotv1.ListVesselsResponse{}
		for _, v := range vs {
			resp.Vessels = append(resp.Vessels, encodeVessel(v))
		}
		return resp, err
	})
}
