// Package story holds days in the studio as tests through the real programs:
// dyelotd on a real PostgreSQL, and dyelot, called as a person calls it. The
// figures were worked by hand by two people, and every one of them is asked for.
package story
