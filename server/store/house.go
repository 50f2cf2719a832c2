package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
)

// SeedHouse writes the house standard that a new studio starts with: each row
// whose key the books do not have yet. It changes nothing that is there, so
// every start may call it.
func (s *Store) SeedHouse(ctx context.Context, rows []fastness.Row) error {
	return s.InTx(ctx, Principal{}, func(t *Tx) error {
		// Two starters at once: the second finds the first one's rows. The table
		// itself is not locked: a statement is prepared on another connection,
		// which would wait for that lock.
		if err := t.exec(`select pg_advisory_xact_lock(hashtextextended('house_row', 0))`); err != nil {
			return err
		}
		var there []string
		if err := t.list(&there, `select distinct key from house_row`); err != nil {
			return err
		}
		rows := slices.DeleteFunc(slices.Clone(rows), func(r fastness.Row) bool { return slices.Contains(there, r.Key) })
		return t.addHouseRows(rows, nil)
	})
}

// AddHouseRow puts a row in force as it is now; the one before it stays
// readable.
func (t *Tx) AddHouseRow(r fastness.Row) error {
	return t.addHouseRows([]fastness.Row{r}, &t.By.ID)
}

func (t *Tx) addHouseRows(rows []fastness.Row, by *int64) error {
	var keys, minimums, scopes, editions, notes []string
	var active []bool
	for _, r := range rows {
		keys, minimums, scopes = append(keys, r.Key), append(minimums, r.Scale.Text(r.Minimum)), append(scopes, string(r.Scope))
		active, editions, notes = append(active, r.Active), append(editions, r.Edition), append(notes, r.Note)
	}
	return t.exec(`
		insert into house_row (key, minimum, scope, active, edition, note, set_at, set_by)
		select key, minimum, scope, active, edition, note, $7, $8
		from unnest(CAST($1 AS text[]), CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS boolean[]), CAST($5 AS text[]), CAST($6 AS text[]))
		     with ordinality as u (key, minimum, scope, active, edition, note, n) order by n`,
		pq.Array(keys), pq.Array(minimums), pq.Array(scopes), pq.Array(active), pq.Array(editions), pq.Array(notes), t.Now, by)
}

// HouseRows lists the newest row of each key, in the order of the seeded table:
// now, or as it was at a moment that is not zero. What a row asks about is that
// table's; how much it asks is the studio's.
func (t *Tx) HouseRows(asOf time.Time) ([]fastness.Row, error) {
	var rows []struct {
		Key     string `db:"key"`
		Minimum string `db:"minimum"`
		Scope   string `db:"scope"`
		Active  bool   `db:"active"`
		Edition string `db:"edition"`
		Note    string `db:"note"`
	}
	if err := t.list(&rows, `
		select distinct on (key) key, minimum, scope, active, edition, note
		from house_row where coalesce(set_at <= CAST($1 AS timestamptz), true) order by key, id desc`, orNull(asOf)); err != nil {
		return nil, err
	}
	var house []fastness.Row
	for _, row := range fastness.Seed() {
		for _, r := range rows {
			if r.Key != row.Key {
				continue
			}
			minimum, err := fastness.Parse(r.Minimum, row.Scale)
			if err != nil {
				return nil, err
			}
			row.Minimum, row.Scope, row.Active, row.Edition, row.Note = minimum, fastness.Scope(r.Scope), r.Active, r.Edition, r.Note
			house = append(house, row)
		}
	}
	if len(house) != len(rows) { // law 5: a row that this program cannot judge must not be passed over
		return nil, fmt.Errorf("the house standard has %d rows and this program knows %d of them", len(rows), len(house))
	}
	return house, nil
}
