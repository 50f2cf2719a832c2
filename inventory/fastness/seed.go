package fastness

// The sources of the seeded rows.
const (
	// StudioOwn marks a row that the studio asks of itself.
	StudioOwn = "the studio's own"

	sourceGOTS     = "GOTS"
	sourceOekoTex  = "OEKO-TEX 100"
	sourceEcolabel = "EU Ecolabel 2014/350/EU"

	checkEdition = "from memory: check the edition in force before switching it on"
	ownNote      = "a starting point; edit it to what the studio can stand behind"
)

var (
	isoWash  = []string{"iso-105-c06", "iso-105-c10"}
	isoLight = []string{"iso-105-b02"}
	isoRub   = []string{"iso-105-x12"}
	isoSweat = []string{"iso-105-e04"}
	isoWater = []string{"iso-105-e01"}
)

// seedTable is key, kind, minimum, source, methods. Everything else follows from
// these: the studio's own rows take any method and are in force; certificate rows
// take laboratory methods only and are switched off.
var seedTable = []struct {
	key, kind string
	minimum   Grade
	source    string
	methods   []string
}{
	{"own-wash-change", "wash-change", Half(3), StudioOwn, nil},
	{"own-wash-staining", "wash-staining", Half(3), StudioOwn, nil},
	{"own-rubbing-dry", "rubbing-dry", Whole(4), StudioOwn, nil},
	{"own-rubbing-wet", "rubbing-wet", Whole(3), StudioOwn, nil},
	{"own-light", "light", Whole(3), StudioOwn, nil},

	{"gots-wash-change", "wash-change", Half(3), sourceGOTS, isoWash},
	{"gots-wash-staining", "wash-staining", Half(3), sourceGOTS, isoWash},
	{"gots-light", "light", Half(3), sourceGOTS, isoLight},
	{"gots-perspiration-change", "perspiration-change", Half(3), sourceGOTS, isoSweat},
	{"gots-perspiration-staining", "perspiration-staining", Half(3), sourceGOTS, isoSweat},
	{"gots-rubbing-dry", "rubbing-dry", Half(3), sourceGOTS, isoRub},
	{"gots-rubbing-wet", "rubbing-wet", Whole(2), sourceGOTS, isoRub},

	// This certificate asks about staining only (from memory).
	{"oeko-tex-perspiration-staining", "perspiration-staining", Half(3), sourceOekoTex, isoSweat},
	{"oeko-tex-water-staining", "water-staining", Whole(3), sourceOekoTex, isoWater},
	{"oeko-tex-rubbing-dry", "rubbing-dry", Whole(4), sourceOekoTex, isoRub},

	{"ecolabel-wash-change", "wash-change", Half(3), sourceEcolabel, isoWash},
	{"ecolabel-wash-staining", "wash-staining", Half(3), sourceEcolabel, isoWash},
	{"ecolabel-perspiration-change", "perspiration-change", Half(3), sourceEcolabel, isoSweat},
	{"ecolabel-perspiration-staining", "perspiration-staining", Half(3), sourceEcolabel, isoSweat},
	{"ecolabel-rubbing-wet", "rubbing-wet", Half(2), sourceEcolabel, isoRub},
	{"ecolabel-rubbing-dry", "rubbing-dry", Whole(4), sourceEcolabel, isoRub},
	{"ecolabel-light", "light", Whole(4), sourceEcolabel, isoLight},
}

// Seed is the house standard a new studio starts with, for its owner to edit: the
// studio's own rows in force, and rows of three certificates switched off. Every
// row asks for each lot, the strictest scope, until somebody widens it. None of
// the certificates' figures has been checked against its text.
func Seed() []Row {
	rows := make([]Row, len(seedTable))
	for i, s := range seedTable {
		k, _ := KindOf(s.kind)
		row := Row{
			Key: s.key, Kind: s.kind, Scale: k.Scales[0], Minimum: s.minimum, Scope: EachLot,
			Methods: append([]string(nil), s.methods...), Source: s.source,
		}
		if s.source == StudioOwn {
			row.Active, row.Note = true, ownNote
		} else {
			row.Note = checkEdition
		}
		rows[i] = row
	}
	return rows
}
