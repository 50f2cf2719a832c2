package api

import (
	"context"
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// WithdrawEvidence takes a reading, a test, a judgement by eye or a line of the
// small books back. It
// stays to be read, and every later judgement is made without it; a verdict that
// was given stands, and who reads the answer is told to look at it again.
func (s *LogbookServer) WithdrawEvidence(ctx context.Context, req *dyelotv1.WithdrawEvidenceRequest) (*dyelotv1.WithdrawEvidenceResponse, error) {
	letter, id, err := evidenceCode(req.GetCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.WithdrawEvidenceResponse, error) {
		lotID, err := evidenceOf(tx, letter, id)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.WithdrawEvidenceResponse{Code: store.Code(letter, id)}
		if lotID != 0 {
			lots, err := tx.LockLots([]int64{lotID})
			if err != nil {
				return nil, err
			}
			resp.LotCode = lots[0].Code
			resp.Warnings = encodeWarnings(decidedBy(resp.GetCode(), lots[0]))
		}
		by := otherwise(strings.TrimSpace(req.GetBy()), tx.By.Name)
		resp.Withdrawal = encodeWithdrawal(lot.Withdrawal{By: by, Reason: req.GetReason(), At: tx.Now})
		return resp, tx.Withdraw(letter, id, by, req.GetReason())
	})
}

func evidenceCode(code string) (letter byte, id int64, err error) {
	letter = (strings.ToUpper(strings.TrimSpace(code)) + " ")[0]
	if !strings.ContainsRune("CFJV", rune(letter)) {
		return 0, 0, fault.BadField("code", "%.40q is neither a reading such as C4, a test such as F7, a judgement by eye such as V3, nor a line of the small books such as J3", code)
	}
	id, err = store.ID(letter, "code", code)
	return letter, id, err
}

// evidenceOf finds the lot that a reading, a test or a look is of; a line of the small
// books is of none.
func evidenceOf(tx *store.Tx, letter byte, id int64) (lotID int64, err error) {
	switch letter {
	case 'C':
		return tx.LotOfReading(id)
	case 'F':
		return tx.LotOfTest(id)
	case 'V':
		return tx.LotOfEye(id)
	}
	_, err = tx.LogEntry(id)
	return 0, err
}

// decidedBy tells of a lot whose verdict may have rested on what is withdrawn.
func decidedBy(code string, l lot.Lot) []recipe.Warning {
	switch l.State {
	case lot.Passed, lot.Imperfect, lot.Closed, lot.ReDye, lot.Scrapped:
		return []recipe.Warning{{Key: "decided", Source: recipe.Source{Mark: recipe.Practice},
			Text: fmt.Sprintf("lot %s is %s already, perhaps by %s: look at where it stands without it, and hold it or decide anew", l.Code, l.State.Words(), code)}}
	}
	return nil
}

func encodeWithdrawal(w lot.Withdrawal) *dyelotv1.Withdrawal {
	if w.Stands() {
		return nil
	}
	return &dyelotv1.Withdrawal{By: w.By, Reason: w.Reason, At: stamp(w.At)}
}
