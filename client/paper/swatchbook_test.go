package paper

import (
	"strings"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// What stands below a judgement of what swatches had says expect, and nothing is
// said where each test has been done.
func TestWhatSwatchesHadIsOnlyEverExpected(t *testing.T) {
	t.Parallel()
	text := printed(t, Options{}, func(s *Sheet) { s.ExpectOpen(judgedOpen().GetJudgement(), expectWeld()) })
	if !strings.HasPrefix(strings.TrimSpace(text), "expect ") || !strings.Contains(text, "never a lot's own grade") || strings.Contains(text, "rubbed off wet") {
		t.Errorf("%s", text)
	}
	done := &dyelotv1.Judgement{Rows: []*dyelotv1.JudgedRow{{Key: "own-light", State: "passed"}}}
	for _, r := range []*dyelotv1.ExpectForResponse{expectWeld(), nil} {
		if text := printed(t, Options{}, func(s *Sheet) { s.ExpectOpen(done, r) }); text != "" {
			t.Errorf("%s", text)
		}
	}
}
