package stock

import (
	"regexp"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// coordinates are two decimals with at least three places side by side, or
// degrees with minutes.
var coordinates = regexp.MustCompile(`-?\d{1,3}\.\d{3,}\s*°?\s*[NSns]?\s*[,;/ ]\s*-?\d{1,3}\.\d{3,}|\d{1,3}\s*°\s*\d`)

// CheckHarvest refuses (fault.Invalid) a harvest without its day, with
// coordinates for a place, or without the fresh mass while it is damp.
func CheckHarvest(h Harvest) error {
	switch {
	case h.PickedOn.IsZero():
		return fault.BadField("picked_on", "is needed: the day it was picked")
	case coordinates.MatchString(h.Place):
		return fault.BadField("place", "holds coordinates: write the place in the studio's own words, a list of patches is not kept here")
	case h.Fresh.Unit == 0 && h.Dry.Unit == 0:
		return fault.BadField("fresh_mass", "is needed while the harvest is damp")
	}
	return nil
}

// Gathered says whether an item can be harvested: plants are, weighed in grams.
// Refused: NOT_GATHERED.
func Gathered(it Item) error {
	if it.Unit != quantity.Mass || (it.Kind != Dyestuff && it.Kind != Auxiliary && it.Kind != Mordant) {
		return fault.Refuse("NOT_GATHERED", "%s is a %s counted in %s: only plants weighed in grams are harvested", it.Code, it.Kind, it.Unit.Name())
	}
	return nil
}

// Dry books a damp harvest with its dry mass. Refused: NOT_A_HARVEST,
// DRIED_ALREADY; (fault.Invalid, field "dry_mass") dry not below fresh, or less
// than a hundredth of it. It warns where the ratio is outside the trade's.
func Dry(p Parcel, dry quantity.Amount) (Movement, []recipe.Warning, error) {
	m := Movement{Kind: ActHarvest}
	switch {
	case p.Origin != FromHarvest:
		return m, nil, fault.Refuse("NOT_A_HARVEST", "%s is a %s: only a harvest is dried", p.Code(), p.Origin)
	case !p.Damp():
		return m, nil, fault.Refuse("DRIED_ALREADY", "%s was weighed dry at %s already: if that was wrong, count it or reverse the movement", p.Code(), p.Harvest.Dry)
	}
	warnings, err := CheckDry(p.Item, p.Harvest, dry)
	if err != nil {
		return m, nil, err
	}
	m.Legs = []Leg{{p.ID, Field, Shelf, dry}}
	return m, warnings, nil
}

// CheckDry holds a dry mass against the fresh one, where that was weighed.
func CheckDry(it Item, h Harvest, dry quantity.Amount) ([]recipe.Warning, error) {
	if dry.Unit != quantity.Mass || dry.N <= 0 {
		return nil, fault.BadField("dry_mass", "%s: a mass above 0 g is needed", dry)
	}
	if h.Fresh.Unit == 0 {
		return nil, nil
	}
	ratio, err := recipe.DriedDown(h.Fresh, dry)
	if f, bad := fault.Of(err); bad {
		return nil, f.At("dry_mass")
	}
	return recipe.CheckDrying(partOf(it, h), ratio), nil
}

// FreshToDry is the ratio of this very harvest, "5.41"; empty while one of the
// two is unknown.
func (h Harvest) FreshToDry() string {
	if ratio, err := recipe.DriedDown(h.Fresh, h.Dry); err == nil {
		return ratio.Decimal()
	}
	return ""
}

// parts are the words for a part of a plant that the trade has a ratio for.
var parts = map[string]recipe.Part{
	"leaf": recipe.Leaf, "leaves": recipe.Leaf, "tops": recipe.Leaf, "herb": recipe.Leaf,
	"flower": recipe.Flower, "flowers": recipe.Flower, "root": recipe.Root, "roots": recipe.Root,
	"bark": recipe.Bark, "hull": recipe.Bark, "hulls": recipe.Bark,
}

func partOf(it Item, h Harvest) recipe.Part {
	for _, word := range append(strings.Fields(strings.ToLower(h.Part)), strings.Fields(strings.ToLower(it.Part))...) {
		if p, known := parts[strings.Trim(word, ",;")]; known {
			return p
		}
	}
	d, _ := recipe.DyeOf(it.Plant)
	return d.Part
}
