package trace

import (
	"math"
	"strings"

	"dyelot/inventory/fault"
)

// alphabet is Crockford's base 32 (Crockford, Base 32, crockford.com): a
// character's place is its value. As check characters, places 32 to 36 would
// be * ~ $ = U, which no tag carries.
const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const (
	checkPrime    = 37
	longestSerial = 13 // characters of math.MaxInt64
	longestText   = 64 // with hyphens, spaces and leading zeros
)

// Tag writes a serial (1 or more) in Crockford's base 32, with its check
// character behind it and no leading zeros. Errors: fault.Invalid naming serial
// where it is below 1, or where its check character would be one of * ~ $ = U.
func Tag(serial int64) (string, error) {
	if serial < 1 {
		return "", fault.BadField("serial", "%d is below 1", serial)
	}
	if !issuable(serial) {
		return "", fault.BadField("serial", "%d is never issued: its check character would be %c", serial, "*~$=U"[serial%checkPrime-32])
	}
	tag := []byte{alphabet[serial%checkPrime]}
	for n := serial; n > 0; n /= 32 {
		tag = append(tag, alphabet[n%32])
	}
	for i, j := 0, len(tag)-1; i < j; i, j = i+1, j-1 {
		tag[i], tag[j] = tag[j], tag[i]
	}
	return string(tag), nil
}

// NextSerial is the first serial above after that may be issued. Errors:
// fault.Invalid naming after where it is below 0 or where none is left.
func NextSerial(after int64) (int64, error) {
	if after < 0 {
		return 0, fault.BadField("after", "%d is below 0", after)
	}
	for n := after; n < math.MaxInt64; {
		if n++; issuable(n) {
			return n, nil
		}
	}
	return 0, fault.BadField("after", "no serial is left above %d", after)
}

func issuable(serial int64) bool { return serial%checkPrime < int64(len(alphabet)) }

// ParseTag reads a tag as a person typed it: small letters are capitals, O is 0,
// I and L are 1, hyphens and spaces are not there (Crockford, Base 32). What it
// returns, Tag writes in its one proper form. Errors: fault.Invalid naming tag
// where a character is none of the alphabet, the check character does not fit,
// or the serial is one that is never issued.
func ParseTag(text string) (serial int64, err error) {
	if len(text) > longestText {
		return 0, fault.BadField("tag", "%d characters are too many for a tag, at most %d are read", len(text), longestText)
	}
	values, err := characters(text)
	if err != nil {
		return 0, err
	}
	if len(values) < 2 {
		return 0, fault.BadField("tag", "%q is too short: a tag has a serial and a check character", text)
	}
	last := len(values) - 1
	body, check := values[:last], values[last]
	for len(body) > 0 && body[0] == 0 {
		body = body[1:]
	}
	if len(body) > longestSerial || len(body) == longestSerial && body[0] > 7 {
		return 0, fault.BadField("tag", "%q is beyond the highest serial, %d", text, int64(math.MaxInt64))
	}
	for _, v := range body {
		serial = serial<<5 | v
	}
	if serial == 0 || serial%checkPrime != check {
		return 0, fault.BadField("tag", "%q is no tag: a character is wrong, missing, or has changed places; look again", text)
	}
	return serial, nil
}

// characters reads the value of each character, hyphens and spaces left out.
func characters(text string) ([]int64, error) {
	var values []int64
	for _, r := range text {
		switch {
		case r == '-' || r == ' ':
			continue
		case 'a' <= r && r <= 'z':
			r += 'A' - 'a'
		}
		switch r {
		case 'O':
			r = '0'
		case 'I', 'L':
			r = '1'
		}
		v := strings.IndexRune(alphabet, r)
		if v < 0 {
			return nil, fault.BadField("tag", "%q has a %q, which is on no tag", text, r)
		}
		values = append(values, int64(v))
	}
	return values, nil
}
