package store

import (
	"errors"
	"testing"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
)

func plainRecipe(note string) recipe.Recipe {
	return recipe.Recipe{Code: "rest", Name: "rest", Fibre: "silk", Ratio: 40_000, Note: note, Stages: []recipe.Stage{{Position: 1, Kind: "dry"}}}
}

// awaitWaiter returns once another connection waits for a lock of this one.
func (t *Tx) awaitWaiter() error {
	for range 1000 {
		var waits bool
		if err := t.get(&waits, `
			select exists (select from pg_locks mine join pg_locks theirs on theirs.transactionid = mine.transactionid and not theirs.granted
			               where mine.pid = pg_backend_pid() and mine.locktype = 'transactionid' and mine.granted)`); waits || err != nil {
			return err
		}
		time.Sleep(2 * time.Millisecond)
	}
	return errors.New("nobody came to wait")
}

// Whoever waits for another writer of the same recipe, or of the same new code,
// is told that it moved on, since they have not seen what the other changed.
func TestWhoWritesSecondIsToldThatTheRecipeMovedOn(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	for version := 1; version <= 2; version++ {
		second := make(chan error, 1)
		s.do(func(tx *Tx) error {
			if _, err := tx.WriteRecipeVersion(plainRecipe("first")); err != nil {
				return err
			}
			go func() {
				second <- s.try(func(tx *Tx) error {
					_, err := tx.WriteRecipeVersion(plainRecipe("second"))
					return err
				})
			}()
			return tx.awaitWaiter()
		})
		if f, ok := fault.Of(<-second); !ok || f.Kind != fault.Conflict || f.Reason != "RECIPE_MOVED_ON" {
			t.Fatalf("version %d: the second writer got %v", version, f)
		}
		s.do(func(tx *Tx) error {
			v, err := tx.RecipeVersion("rest", 0)
			if v.Version != version || v.Note != "first" {
				t.Errorf("version %d holds %q", v.Version, v.Note)
			}
			return err
		})
	}
}

// Law 6: what is written never changes, whoever asks.
func TestLaw6WrittenVersionsAndStandardsNeverChange(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	s.do(func(tx *Tx) error { _, err := tx.WriteRecipeVersion(plainRecipe("first")); return err })
	for _, statement := range []string{
		`update recipe_version set note = 'better'`, `delete from recipe_version`, `truncate recipe_version cascade`,
		`update recipe_stage set celsius = 90`, `delete from recipe_stage`, `delete from recipe_dose`, `update recipe_dose set value = 1`,
		`update shade_standard set tolerance = 9000`, `delete from shade_standard`,
		`update reading set l = 50`, `delete from reading`, `update fastness_test set note = ''`, `delete from fastness_grade`,
		`update house_row set active = false`, `delete from house_row`, `delete from row_override`, `update row_override set reason = 'x'`, `delete from verdict`, `update verdict set outcome = 'passed'`,
	} {
		err := s.try(func(tx *Tx) error { return tx.exec(statement) })
		t.Log(statement)
		broke(t, err, "history_is_append_only")
	}
}

func TestVersionsAreFoundByTheirID(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	var ids []int64
	for range 2 {
		s.do(func(tx *Tx) error {
			id, err := tx.WriteRecipeVersion(plainRecipe("again"))
			ids = append(ids, id)
			return err
		})
	}
	s.do(func(tx *Tx) error {
		for i, id := range ids {
			v, err := tx.RecipeVersionByID(id)
			if err != nil || v.Version != i+1 || v.ID != id || v.Used || v.WrittenBy != "dyer-1" {
				t.Errorf("%+v, %v", v, err)
			}
		}
		if _, none := tx.RecipeVersionByID(99); none == nil {
			t.Error("a version that does not exist is found")
		}
		_, none := tx.StandardByID(99)
		if _, isFault := fault.Of(none); none == nil || isFault {
			t.Errorf("an id of our own that leads nowhere is internal, not %v", none)
		}
		return nil
	})
}
