package paper

import (
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"week":      func(s *Sheet) { s.Week(choirWeek(), false) },
		"week-why":  func(s *Sheet) { s.Week(choirWeek(), true) },
		"week-late": func(s *Sheet) { s.Week(lateWeek(), false) },
		"week-empty": func(s *Sheet) {
			s.Week(&dyelotv1.GetWeekPlanResponse{From: "2026-05-14", Days: 7, Hours: usualHours()}, false)
		},
		"hours":        func(s *Sheet) { s.HoursSet(&dyelotv1.SetHoursResponse{Hours: choirHours()}) },
		"pinned":       func(s *Sheet) { s.Pinned(&dyelotv1.PinStageResponse{Task: lateWeek().GetTasks()[2]}) },
		"loads":        func(s *Sheet) { s.Loads(choirLoads(true)) },
		"loads-bounds": func(s *Sheet) { s.Loads(choirLoads(false)) },
	} {
		sheets[name] = write
	}
}

func usualHours() *dyelotv1.Hours {
	return &dyelotv1.Hours{Weekdays: []string{"mon", "tue", "wed", "thu", "fri"}, From: "08:00", To: "17:00", People: 1, Burners: 2, Usual: true}
}

func choirHours() *dyelotv1.Hours {
	return &dyelotv1.Hours{Weekdays: []string{"mon", "tue", "wed", "thu", "fri"}, From: "08:00", To: "16:30", People: 2, Burners: 3, RackPieces: 40, DaysOff: []string{"2026-05-18"}}
}

// choirWeek is the choir's ten tunics of stories.md in the pots: mordant and brew
// shared, two pots, iron apart. Thursday 14 May 2026, by someone in Oslo.
func choirWeek() *dyelotv1.GetWeekPlanResponse {
	both := []string{"L1", "L2"}
	task := func(kind, name string, position int32, lots []string, vessel, start, alone, lift, end string) *dyelotv1.WeekTask {
		return &dyelotv1.WeekTask{LotCodes: lots, RunCode: "R1", ColourwayCode: "choir-olive", Position: position, Kind: kind, KindName: name, VesselCode: vessel,
			StartsAt: at(start), AloneFrom: at(alone), LiftAt: at(lift), EndsAt: at(end), People: 1}
	}
	mordant := task("mordant", "mordant", 1, both, "tub-60", "2026-05-14T06:00:00Z", "2026-05-14T07:25:00Z", "2026-05-14T07:25:00Z", "2026-05-14T07:35:00Z")
	mordant.Why, mordant.CleanMinutes, mordant.AttendedMinutes = "as soon as may be", 5, 35
	brew := task("brew", "brew", 2, both, "tub-60", "2026-05-14T07:35:00Z", "2026-05-14T09:00:00Z", "2026-05-14T09:00:00Z", "2026-05-14T09:20:00Z")
	brew.Why, brew.CleanMinutes, brew.AttendedMinutes = "tub-60 is taken by mordant of L1, L2 until Thu 09:35", 5, 45
	a := task("dye", "dye", 3, both[:1], "pot-40", "2026-05-14T09:20:00Z", "2026-05-14T10:45:00Z", "2026-05-15T06:00:00Z", "2026-05-15T06:15:00Z")
	a.Waits, a.Why, a.CleanMinutes, a.AttendedMinutes = "cools until Fri 08:00; must not sit in a heap: the next by Fri 12:15", "after brew of L1, L2, done Thu 11:20", 5, 40
	b := task("dye", "dye", 3, both[1:], "pot-30", "2026-05-14T09:45:00Z", "2026-05-14T11:10:00Z", "2026-05-15T06:15:00Z", "2026-05-15T06:30:00Z")
	b.Waits, b.Why, b.CleanMinutes, b.AttendedMinutes = "cools until Fri 08:15; must not sit in a heap: the next by Fri 12:30", "after brew of L1, L2; all hands are busy until Thu 11:45", 5, 40
	dry := task("dry", "dry", 4, both, "", "2026-05-15T08:00:00Z", "2026-05-15T08:10:00Z", "2026-05-19T06:00:00Z", "2026-05-19T06:10:00Z")
	dry.Pieces, dry.Waits, dry.Why, dry.AttendedMinutes = 10, "dries until Tue 08:00", "after dye of L2, done Fri 08:30", 20
	return &dyelotv1.GetWeekPlanResponse{From: "2026-05-14", Days: 7, TimeZone: "Europe/Oslo", Hours: choirHours(), Tasks: []*dyelotv1.WeekTask{mordant, brew, a, b, dry},
		EndsAt: at("2026-05-19T06:10:00Z"), BoundAt: at("2026-05-19T06:10:00Z"), BoundWhy: "the longest chain of stages, to dry of L1, L2", Optimal: true, OpenStages: 5,
		VesselCodes: []string{"iron-15", "pot-30", "pot-40", "tub-60"},
		Minutes: []*dyelotv1.StageMinutes{{Kind: "mordant", Begin: 20, End: 10, Usual: 60, LongestWait: 7200}, {Kind: "brew", Begin: 20, End: 20, Usual: 60, LongestWait: 4320},
			{Kind: "dye", Begin: 20, End: 15, Usual: 60, Cools: 720, LongestWait: 240}, {Kind: "dry", Begin: 10, End: 10, Usual: 1440}, {Kind: "cure", Begin: 5, Usual: 4320}}}
}

// lateWeek is the same on Friday: lot A cools, lot B was not dyed and is pinned,
// and the run is due before its cloth is dry.
func lateWeek() *dyelotv1.GetWeekPlanResponse {
	r := choirWeek()
	a, b, dry := r.Tasks[2], r.Tasks[3], r.Tasks[4]
	a.Begun, a.AloneFrom, a.Waits = true, a.StartsAt, "cools until Fri 08:00; must not sit in a heap: the next by Fri 12:15"
	b.Pinned, b.PinReason, b.StartsAt, b.AloneFrom, b.LiftAt, b.EndsAt = true, "the choir comes to watch", at("2026-05-15T10:00:00Z"), at("2026-05-15T11:25:00Z"), at("2026-05-19T06:00:00Z"), at("2026-05-19T06:15:00Z")
	b.Waits = "cools until Tue 08:00; must not sit in a heap: the next by Tue 12:15"
	dry.MovedFrom, dry.StartsAt, dry.AloneFrom, dry.LiftAt, dry.EndsAt = at("2026-05-15T08:00:00Z"), at("2026-05-19T06:15:00Z"), at("2026-05-19T06:25:00Z"), at("2026-05-20T06:25:00Z"), at("2026-05-20T06:35:00Z")
	dry.Waits, dry.Note = "dries until Wed 08:25", "short of 0.8 g of alum: planned as if it came in time"
	r.From, r.Optimal, r.Hours = "2026-05-15", false, usualHours()
	r.Tasks = []*dyelotv1.WeekTask{a, dry, b}
	r.EndsAt, r.BoundAt = at("2026-05-20T06:35:00Z"), at("2026-05-20T06:10:00Z")
	r.Late = []*dyelotv1.WeekLate{{RunCode: "R1", LotCodes: []string{"L1", "L2"}, DueOn: "2026-05-19", EndsAt: r.EndsAt, DaysLate: 1}}
	r.Clashes = []string{"dry of L1, L2 begins Tue 08:15, 95 h later than dye of L1 may wait"}
	return r
}

// The choir's set of 1044 g fits no pot; what is below does.
func choirLoads(optimal bool) *dyelotv1.PlanLoadsResponse {
	r := &dyelotv1.PlanLoadsResponse{Fewest: 2, Optimal: optimal, LiquorRatio: "40", RecipeCode: "olive-silk",
		Unfit: []string{"choir fits no pot: 1044 g at 1 : 40 needs 41.76 L of liquor, and the largest, pot-40, may hold 32 L; it is not divided, since it must match"},
		Loads: []*dyelotv1.PotLoad{
			{PotCode: "pot-40", Sets: []string{"left", "caps"}, Fibre: g("791"), Liquor: &dyelotv1.Amount{Value: "31640", Unit: "mL"}, Room: &dyelotv1.Amount{Value: "32", Unit: "L"}},
			{PotCode: "pot-30", Sets: []string{"right"}, Fibre: g("539"), Liquor: &dyelotv1.Amount{Value: "21560", Unit: "mL"}, Room: &dyelotv1.Amount{Value: "24", Unit: "L"}}}}
	if !optimal {
		r.Fewest = 1
	}
	return r
}
