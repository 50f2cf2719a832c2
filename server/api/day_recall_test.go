package api_test

import (
	"slices"

	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
)

// openRecall starts from anything that a recall can start from.
func (d *day) openRecall() {
	n := &pb.RecallNode{}
	switch d.upTo(4) {
	case 1:
		n.Tag = one(d, d.tags)
	case 2:
		n.Code = one(d, d.baths("")).GetCode()
	case 3:
		n.Code = d.lot("in-work", "waiting-for-tests", "passed", "held").GetLot().GetCode()
	default:
		n.Code = d.bag().code
	}
	ok(d.Recall.OpenRecall(d.Ctx, &pb.OpenRecallRequest{RequestId: d.ID(), Node: n, Reason: "patches"}))
}

// recalled draws an open recall and a few of its garments.
func (d *day) recalled() (code string, some []string) {
	var open []string
	for _, r := range ok(d.Recall.ListRecalls(d.Ctx, &pb.ListRecallsRequest{})).GetRecalls() {
		open = append(open, r.GetCode())
	}
	code = one(d, open)
	var tags []string
	for tag := range recallList(d.House, code) {
		tags = append(tags, tag)
	}
	slices.Sort(tags)
	for range d.upTo(3) {
		keep(&some, anyOf(d, tags))
	}
	return code, some
}

func (d *day) tellRecall() {
	k, tags := d.recalled()
	ok(d.Recall.MarkTold(d.Ctx, &pb.MarkToldRequest{RequestId: d.ID(), RecallCode: k, Tags: tags, How: "by letter"}))
}

func (d *day) accountRecall() {
	k, tags := d.recalled()
	how := rapid.SampledFrom([]string{"returned", "checked-and-kept", "destroyed", "cannot-be-reached"}).Draw(d.r, "how")
	ok(d.Recall.MarkAccounted(d.Ctx, &pb.MarkAccountedRequest{RequestId: d.ID(), RecallCode: k, Tags: tags, How: how}))
	ok(d.Recall.GetLoss(d.Ctx, &pb.GetLossRequest{Code: k}))
}

// endRecall decides about all that lies here, tells of what is out, and closes.
func (d *day) endRecall() {
	k, _ := d.recalled()
	var here, out []string
	for tag, g := range recallList(d.House, k) {
		switch {
		case g.GetPlace() == "sold" || g.GetPlace() == "given-back":
			out = append(out, tag)
		case g.GetPlace() != "scrapped" && g.GetAccounted() != "checked-and-kept":
			here = append(here, tag)
		}
	}
	slices.Sort(here)
	slices.Sort(out)
	if len(here) > 0 {
		ok(d.Recall.MarkAccounted(d.Ctx, &pb.MarkAccountedRequest{RequestId: d.ID(), RecallCode: k, Tags: here, How: "checked-and-kept"}))
	}
	if len(out) > 0 {
		ok(d.Recall.MarkTold(d.Ctx, &pb.MarkToldRequest{RequestId: d.ID(), RecallCode: k, Tags: out, How: "by letter"}))
	}
	ok(d.Recall.CloseRecall(d.Ctx, &pb.CloseRecallRequest{RequestId: d.ID(), RecallCode: k, Reason: "decided"}))
}
