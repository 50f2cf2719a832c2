package cost

import (
	"strconv"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// SplitByAmount shares a joint cost over things by their amounts, all of one
// unit: the carriage of a crate by the mass of what is in it. The shares are
// whole millionths and sum to the joint cost; the largest remainders are
// rounded up. Errors: fault.Invalid naming joint_cost, amounts or amounts[i].
func SplitByAmount(joint quantity.Money, amounts []quantity.Amount) ([]quantity.Money, error) {
	weights := make([]int64, len(amounts))
	for i, a := range amounts {
		if err := fits("amounts["+strconv.Itoa(i)+"]", a, amounts[0]); err != nil {
			return nil, err
		}
		weights[i] = a.N
	}
	return split(joint, "amounts", weights)
}

// SplitByValue shares a joint cost over things by what each is worth, such as
// its sales value at the point where they part; all in one currency, which need
// not be that of the cost. Else as SplitByAmount; errors name joint_cost, values
// or values[i].
func SplitByValue(joint quantity.Money, values []quantity.Money) ([]quantity.Money, error) {
	weights := make([]int64, len(values))
	for i, v := range values {
		at := "values[" + strconv.Itoa(i) + "]"
		if v.Currency != values[0].Currency {
			return nil, fault.BadField(at, "%s and %s do not compare without a rate", values[0].Currency, v.Currency)
		}
		if v.Micro < 0 {
			return nil, fault.BadField(at, "%s is below zero", v)
		}
		weights[i] = v.Micro
	}
	return split(joint, "values", weights)
}

func split(joint quantity.Money, field string, weights []int64) ([]quantity.Money, error) {
	if joint.Micro < 0 || joint.Currency == "" {
		return nil, fault.BadField("joint_cost", "a cost is zero or more and has a currency, this is %s", joint)
	}
	shares := quantity.Share(joint.Micro, weights, 1)
	if shares == nil {
		return nil, fault.BadField(field, "there is nothing to share by: one at least must be above zero")
	}
	costs := make([]quantity.Money, len(shares))
	for i, n := range shares {
		costs[i] = quantity.Money{Micro: n, Currency: joint.Currency}
	}
	return costs, nil
}
