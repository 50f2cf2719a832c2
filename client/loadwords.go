package client

import (
	"slices"
	"strconv"
	"strings"

	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// blanksHelp explains the small words of --blanks and --load.
const blanksHelp = `Blanks are written with their parcel and the scoured, air-dry mass of each piece:
  P3=105,104,106   three pieces, weighed one by one; plain numbers are grams
  P3x10            ten pieces at the mass that the item says

Either give all the blanks and the pots to choose from (--blanks, --pots): the fewest
pots that hold them are filled evenly, in the order given. Or lay the pots out
yourself, one --load for each; a pot that is named twice gets both:
  --load pot-40:P3=105,104,106     blanks
  --load pot-40:tags=16JD,16KF     garments that were in a lot before, by tag`

var counted = pattern(`^([A-Za-z]+[0-9]+)[xX×]([0-9]{1,9})$`)

// blanksOf reads "P3=105,104,106" or "P3x10".
func blanksOf(text string) (*dyelotv1.Blanks, error) {
	text = strings.TrimSpace(text)
	if m := counted().FindStringSubmatch(text); m != nil {
		n, _ := strconv.Atoi(m[2]) // at most nine digits
		if n == 0 {
			return nil, fault.BadField("", "%s is no blank at all", text)
		}
		return &dyelotv1.Blanks{ParcelCode: m[1], Count: int32(n)}, nil
	}
	parcel, masses, ok := strings.Cut(text, "=")
	if parcel = strings.TrimSpace(parcel); !ok || parcel == "" {
		return nil, fault.BadField("", "%.60q is no blanks: write them as P3=105,104,106 or P3x10", text)
	}
	b := &dyelotv1.Blanks{ParcelCode: parcel}
	for _, one := range splitList(masses) {
		mass, err := gramsOf(one)
		if err != nil {
			return nil, err
		}
		b.Masses = append(b.Masses, mass)
	}
	if len(b.Masses) == 0 {
		return nil, fault.BadField("", "%s= names no mass: write it as %s=105,104,106", parcel, parcel)
	}
	return b, nil
}

// addLoad reads "pot-40:P3=105,104" or "pot-40:tags=16JD,16KF" and puts it with
// what that pot has already.
func addLoad(loads []*dyelotv1.Load, text string) ([]*dyelotv1.Load, error) {
	vessel, words, ok := strings.Cut(text, ":")
	if vessel = strings.TrimSpace(vessel); !ok || vessel == "" {
		return nil, fault.BadField("", "%.60q is no load: write it as pot-40:P3=105,104,106", text)
	}
	i := slices.IndexFunc(loads, func(l *dyelotv1.Load) bool { return l.GetVesselCode() == vessel })
	if i < 0 {
		i, loads = len(loads), append(loads, &dyelotv1.Load{VesselCode: vessel})
	}
	if tags, again := strings.CutPrefix(strings.TrimSpace(words), "tags="); again {
		loads[i].Tags = append(loads[i].Tags, splitList(tags)...)
		return loads, nil
	}
	blanks, err := blanksOf(words)
	if err != nil {
		return nil, err
	}
	loads[i].Blanks = append(loads[i].Blanks, blanks)
	return loads, nil
}

// pairOf reads "alum=P9".
func pairOf(text, such string) (left, right string, err error) {
	left, right, _ = strings.Cut(text, "=")
	left, right = strings.TrimSpace(left), strings.TrimSpace(right)
	if left == "" || right == "" {
		return "", "", fault.BadField("", "%.60q has to be two words with = between, such as %s", text, such)
	}
	return left, right, nil
}
