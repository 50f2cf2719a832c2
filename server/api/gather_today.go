package api

import (
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// gatherTasks are the plants in season that something open lacks, and those whose
// weeks went by, until a person has noted that.
func gatherTasks(tx *store.Tx) ([]store.Task, error) {
	p, err := plantsOf(tx, 0)
	if _, refused := fault.Of(err); refused {
		p, err = tx.Plants(0) // a collection that cannot be told says so itself; the day goes on
	}
	if err != nil {
		return nil, err
	}
	var tasks []store.Task
	for _, l := range p.Lines() {
		_, noted := p.Noted(l)
		switch {
		case noted:
		case l.State == season.GatherNow:
			task := store.Task{Key: "gather", Subject: l.Item, Text: "gather " + unnamed(l), Due: l.Span.Closes}
			if l.Weeks.AllYear() {
				task.Due = time.Time{}
			}
			tasks = append(tasks, task)
		case l.State == season.GatherMissed:
			tasks = append(tasks, store.Task{Key: "gather-missed", Subject: l.Item, Text: unnamed(l) + "; what can stand in: dyelot gather list", Due: l.Span.Closes})
		}
	}
	return tasks, nil
}

// unnamed is the line without the plant's name: a task's subject says that.
func unnamed(l season.GatherLine) string {
	return strings.TrimLeft(strings.TrimPrefix(l.Text, l.Word()), ":, ")
}
