package cost

// mostAttended is how many planned minutes of a bath somebody stands by: a
// longer one (cold alum for two days, a cure) is left alone with its lid on
// (common practice).
const mostAttended = 60

// Attended is the planned minutes of a stage that are labour where nobody wrote
// down any.
func Attended(planned int) int64 { return int64(min(max(planned, 0), mostAttended)) }
