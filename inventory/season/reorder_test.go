package season_test

import (
	"testing"

	"dyelot/inventory/season"
)

func TestReorderPoint(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name          string
		use           season.Use
		service       float64
		safety, point float64
	}{
		// Φ(1.65) = 0.9505285…; 1.65 · 5 · √10 by hand. Russell & Taylor ch. 16
		// print 26.1 and 326.1 (from memory).
		{"Russell & Taylor", season.Use{PerDay: 30, SD: 5, LeadDays: 10}, 0.950528531966352, 26.08879069638912, 326.08879069638912},
		// z(0.95) = 1.6448536269514722, z(0.99) = 2.3263478740408408, z(0.975) =
		// 1.959963984540054: the printed tables carried on by mpmath 1.3.
		{"late deliveries", season.Use{PerDay: 20, SD: 4, LeadDays: 9, LeadSD: 2}, 0.95, 68.6911041106663462, 248.6911041106663462},
		{"punctual and even", season.Use{PerDay: 12.5, LeadDays: 4}, 0.99, 0, 50},
		{"only the lead varies", season.Use{PerDay: 10, LeadDays: 6, LeadSD: 3}, 0.99, 69.790436221225224, 129.790436221225224},
		{"as often short as not", season.Use{PerDay: 30, SD: 5, LeadDays: 10}, 0.5, 0, 300},
		{"asks to run short", season.Use{PerDay: 30, SD: 5, LeadDays: 4}, 0.025, -19.59963984540054, 100.40036015459946},
		{"no wait", season.Use{PerDay: 30, SD: 5}, 0.99, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			safety, point, err := season.ReorderPoint(c.use, c.service)
			if err != nil {
				t.Fatal(err)
			}
			wantNear(t, "safety stock", safety, c.safety, 1e-12)
			wantNear(t, "reorder point", point, c.point, 1e-12)
		})
	}
}

func TestReorderPointRefuses(t *testing.T) {
	t.Parallel()
	good := season.Use{PerDay: 30, SD: 5, LeadDays: 10, LeadSD: 1}
	for _, v := range []float64{-1, nan, inf, -inf, 1e101} {
		for field, spoil := range map[string]func(*season.Use){
			"demand_per_day": func(u *season.Use) { u.PerDay = v },
			"demand_sd":      func(u *season.Use) { u.SD = v },
			"lead_days":      func(u *season.Use) { u.LeadDays = v },
			"lead_sd":        func(u *season.Use) { u.LeadSD = v },
		} {
			u := good
			spoil(&u)
			_, _, err := season.ReorderPoint(u, 0.9)
			wantField(t, err, field)
		}
	}
	for _, service := range []float64{0, 1, -0.5, 1.5, 95, nan, inf} {
		_, _, err := season.ReorderPoint(good, service)
		wantField(t, err, "service")
	}
}
