package store

import (
	"errors"
	"testing"
)

// Each break of what a bath can have been is found, and says where: nothing but
// a statement written by hand can make one.
func TestVerifyFindsWhatABathCannotHaveBeen(t *testing.T) {
	t.Parallel()
	a := openArchive(t)
	const record = `
		insert into stage_record (run_id, position, kind, bath_id, bath_use, addition_to, by_name, happened_at, recorded_at, recorded_by)
		values ($1, 1, $2, (select max(id) from bath), $3, nullif($4, 0), 'x', now(), now(), 1)`
	type put struct {
		kind     string
		use      int
		addition bool
	}
	for name, c := range map[string]struct {
		puts  []put
		more  string
		check string
	}{
		"whole":                          {[]put{{"mordant", 1, false}, {"mordant", 1, true}, {"mordant", 2, false}}, ``, ""},
		"two first uses":                 {[]put{{"mordant", 1, false}, {"mordant", 1, false}}, ``, "bath-use"},
		"one of them undone":             {[]put{{"mordant", 1, false}, {"mordant", 1, false}}, `insert into record_undone (record_id, at, undone_by, reason) select max(id), now(), 1, 'slip' from stage_record`, ""},
		"dyed in a tub for mordanting":   {[]put{{"dye", 1, false}}, ``, "bath-use"},
		"used after it was poured away":  {[]put{{"mordant", 2, false}}, spentAfterOne, "bath-use"},
		"poured away after its last use": {[]put{{"mordant", 1, false}}, spentAfterOne, ""},
		"an addition to another use":     {[]put{{"mordant", 1, false}, {"mordant", 2, true}}, ``, "addition"},
		"an addition to what was undone": {[]put{{"mordant", 1, false}, {"mordant", 1, true}}, `insert into record_undone (record_id, at, undone_by, reason) select min(id), now(), 1, 'slip' from stage_record`, "addition"},
	} {
		t.Run(name, func(t *testing.T) {
			err := a.try(func(tx *Tx) error {
				if err := tx.exec(`insert into bath (kind, opened_at) values ('mordant', now())`); err != nil {
					return err
				}
				for _, p := range c.puts {
					var to int64
					if p.addition {
						if err := tx.get(&to, `select min(id) from stage_record where bath_id = (select max(id) from bath)`); err != nil {
							return err
						}
					}
					if err := tx.exec(record, a.run, p.kind, p.use, to); err != nil {
						return err
					}
				}
				if c.more != "" {
					if err := tx.exec(c.more); err != nil {
						return err
					}
				}
				v, err := tx.Verify()
				if err != nil {
					return err
				}
				found := ""
				for _, f := range v.Findings {
					found = f.Check
				}
				if found != c.check {
					t.Errorf("found %v, want %q", v.Findings, c.check)
				}
				return errOnlyTried
			})
			if !errors.Is(err, errOnlyTried) {
				t.Error(err)
			}
		})
	}
}

const spentAfterOne = `
	insert into bath_entry (bath_id, kind, after_use, happened_at, recorded_at, recorded_by, by_name, litres_ul, route)
	select max(id), 'spent', 1, now(), now(), 1, 'x', 1, 'foul sewer' from bath`
