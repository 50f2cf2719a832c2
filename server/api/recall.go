package api

import (
	"context"
	"strings"

	"google.golang.org/grpc"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/recall"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// RecallServer answers RecallService.
type RecallServer struct {
	dyelotv1.UnsafeRecallServiceServer
	store *store.Store
}

// NewRecallServer answers from a store.
func NewRecallServer(s *store.Store) *RecallServer { return &RecallServer{store: s} }

// rowsAMessage keep a message far below any limit, and are enough that messages
// cost little.
const rowsAMessage = 500

// PreviewRecall lists every garment downstream of a node. The list is loaded
// before it is sent, so that a slow reader holds no transaction open.
func (s *RecallServer) PreviewRecall(req *dyelotv1.PreviewRecallRequest, stream grpc.ServerStreamingServer[dyelotv1.PreviewRecallResponse]) error {
	ctx, stop := context.WithTimeout(stream.Context(), callLimit)
	defer stop()
	var title string
	rows, err := read(ctx, s.store, func(tx *store.Tx) ([]store.RecallRow, error) {
		n, err := nodeOf(tx, req.GetNode())
		if err != nil {
			return nil, err
		}
		title = n.Title
		return tx.PreviewRecall(n)
	})
	if err != nil {
		return err
	}
	for first := true; first || len(rows) > 0; first = false {
		part := rows[:min(len(rows), rowsAMessage)]
		if err := stream.Send(&dyelotv1.PreviewRecallResponse{Title: title, Garments: encodeRecalled(part, false)}); err != nil {
			return err
		}
		rows, title = rows[len(part):], ""
	}
	return nil
}

// ListRecallGarments lists the garments of a recall.
func (s *RecallServer) ListRecallGarments(req *dyelotv1.ListRecallGarmentsRequest, stream grpc.ServerStreamingServer[dyelotv1.ListRecallGarmentsResponse]) error {
	id, err := store.ID('K', "recall", req.GetCode())
	if err != nil {
		return onField("code", err)
	}
	ctx, stop := context.WithTimeout(stream.Context(), callLimit)
	defer stop()
	rows, err := read(ctx, s.store, func(tx *store.Tx) ([]store.RecallRow, error) {
		r, err := tx.Recall(id)
		if err != nil {
			return nil, err
		}
		return tx.RecallRows(r)
	})
	for err == nil && len(rows) > 0 {
		part := rows[:min(len(rows), rowsAMessage)]
		err, rows = stream.Send(&dyelotv1.ListRecallGarmentsResponse{Garments: encodeRecalled(part, true)}), rows[len(part):]
	}
	return err
}

// nodeOf reads where a recall starts, and finds it. fault.Invalid by field,
// fault.NotFound.
func nodeOf(tx *store.Tx, m *dyelotv1.RecallNode) (recall.Node, error) {
	a := recall.Asked{Code: m.GetCode(), Tag: m.GetTag(), SupplierLot: m.GetSupplierLot(), Item: m.GetItemCode(), Supplier: m.GetSupplier(), Place: m.GetPlace(),
		PickedOn: m.GetPickedOn(), Recipe: m.GetRecipeCode(), Use: m.GetBathUse(), Version: m.GetRecipeVersion()}
	by, err := a.By()
	if err != nil {
		return recall.Node{}, fault.In("node", err)
	}
	n, err := nodeFinders[by](tx, a)
	if f, is := fault.Of(err); is && f.Kind == fault.Invalid {
		err = fault.In("node", err)
	}
	return n, err
}

// nodeFinders find a node, by the field that names it.
var nodeFinders = map[string]func(*store.Tx, recall.Asked) (recall.Node, error){
	"code":         codedNode,
	"tag":          garmentNode,
	"supplier_lot": supplierNode,
	"place":        harvestNode,
	"recipe_code":  func(tx *store.Tx, a recall.Asked) (recall.Node, error) { return tx.RecipeNode(a.Recipe, a.Version) },
}

func codedNode(tx *store.Tx, a recall.Asked) (recall.Node, error) {
	code := strings.ToUpper(strings.TrimSpace(a.Code))
	kind, known := recall.Letters[code[0]]
	if !known {
		return recall.Node{}, fault.BadField("code", "%.40q is no node: use a parcel P7, a stage record S5, an entry E4, a bath B3, a lot L2 or a run R1", a.Code)
	}
	if a.Use != 0 && kind != recall.Bath {
		return recall.Node{}, fault.BadField("bath_use", "goes with a bath, and %s is none", code)
	}
	id, err := store.ID(code[0], "code", code)
	if err != nil {
		return recall.Node{}, err
	}
	return tx.CodedNode(code[0], id, int(a.Use))
}

func garmentNode(tx *store.Tx, a recall.Asked) (recall.Node, error) {
	serial, err := trace.ParseTag(a.Tag)
	if err != nil {
		return recall.Node{}, onField("tag", err)
	}
	g, err := tx.GarmentBySerial(serial, properTag(serial))
	return recall.Node{Kind: recall.OneGarment, ID: g.ID, Title: "garment " + g.Tag}, err
}

func supplierNode(tx *store.Tx, a recall.Asked) (recall.Node, error) {
	it, err := tx.ItemByCode(a.Item)
	if err != nil {
		return recall.Node{}, err
	}
	n := recall.Node{Kind: recall.SupplierLot, ID: it.ID, Words: strings.TrimSpace(a.SupplierLot), Supplier: strings.TrimSpace(a.Supplier)}
	n.Title = it.Name + ", supplier's lot " + n.Words
	if n.Supplier != "" {
		n.Title += " of " + n.Supplier
	}
	return n, tx.KnownNode(n)
}

func harvestNode(tx *store.Tx, a recall.Asked) (recall.Node, error) {
	n := recall.Node{Kind: recall.Harvest, Words: strings.TrimSpace(a.Place)}
	var err error
	if n.Day, err = day("picked_on", a.PickedOn); err != nil {
		return n, err
	}
	what := "harvests"
	if a.Item != "" {
		it, err := tx.ItemByCode(a.Item)
		if err != nil {
			return n, err
		}
		n.ID, what = it.ID, "harvest of "+it.Name
	}
	n.Title = what + " at " + n.Words + ", " + showDay(n.Day)
	return n, tx.KnownNode(n)
}
