package client

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/encoding/prototext"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/testing/protocmp"
	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// every is one command line for each method of the contract, and what it must
// send. Times are read in Oslo, at noon of 14 May 2026.
var every = []struct{ method, line, request string }{
	{"StudioService/GetStudio", `studio show`, ``},
	{"StudioService/UpdateStudio", `studio set --name Boathouse --time-zone Europe/Oslo --currency NOK --poison-centre 22591300`,
		`name: "Boathouse" time_zone: "Europe/Oslo" currency: "NOK" poison_centre: "22591300"`},
	{"StudioService/AddVessel", `vessel add tub-60 --volume 60L --fill 80% --use mordant,rinse --use brew --name tub`,
		`vessel { code: "tub-60" name: "tub" volume { value: "60" unit: "L" } fill_percent: "80" uses: "mordant" uses: "rinse" uses: "brew" }`},
	{"StudioService/ListVessels", `vessel list`, ``},
	{"StudioService/GetToday", `today`, ``},
	{"StudioService/CreateToken", `token add bench-1 --role bench,viewer --expires "2027-01-01 08:00"`,
		`name: "bench-1" roles: ROLE_BENCH roles: ROLE_VIEWER expires_at { seconds: 1798786800 }`},
	{"StudioService/ListTokens", `token list`, ``},
	{"StudioService/RevokeToken", `token revoke bench-1`, `name: "bench-1"`},
	{"StudioService/VerifyBooks", `verify`, ``},
	{"StudioService/ListAuditEntries", `audit list`, `page_size: 1000`},
	{"StudioService/Backup", `backup FILE`, ``},

	{"StockService/CreateItem", `item add blank tunic-silk-m --name "silk tunic" --style tunic --size M --fibre silk --piece-mass 105g --minimum 10pc --lead-days 21`,
		`item { code: "tunic-silk-m" name: "silk tunic" kind: "blank" style: "tunic" size: "M" fibres { fibre: "silk" percent: "100" } piece_mass { value: "105" unit: "g" }
		 reorder { minimum { value: "10" unit: "pc" } lead_days: 21 } }`},
	{"StockService/SetReorderTerms", `item terms alum --minimum 250g --lead-days 10`,
		`item_code: "alum" reorder { minimum { value: "250" unit: "g" } pack { value: "500" unit: "g" } supplier: "salt works" lead_days: 10 }`},
	{"StockService/ListItems", `item list --kind dyestuff`, `kind: "dyestuff" page_size: 1000`},
	{"StockService/ReceiveDelivery", `stock receive alum 500g --supplier "salt works" --supplier-lot A-17 --cost 12.40 --at "today 9:30" --usable-until 2028-01-31`,
		`item_code: "alum" amount { value: "500" unit: "g" } supplier: "salt works" supplier_lot: "A-17" cost { value: "12.40" currency: "NOK" }
		 happened_at { seconds: 1778743800 } usable_until: "2028-01-31"`},
	{"StockService/LogHarvest", `harvest log weld --fresh 14.6kg --dry 2.70kg --place "lane behind the boathouse" --picked yesterday --permission owner`,
		`item_code: "weld" harvest { fresh_mass { value: "14.6" unit: "kg" } dry_mass { value: "2.70" unit: "kg" } place: "lane behind the boathouse" picked_on: "2026-05-13" permission: "owner" }`},
	{"StockService/DryHarvest", `harvest dry P2 2.70kg --at 2026-05-13`,
		`parcel_code: "P2" dry_mass { value: "2.70" unit: "kg" } happened_at { seconds: 1778623200 }`},
	{"StockService/MakeParcel", `stock make iron-liquor 500mL --from P6=100g --at 2026-05-10`,
		`item_code: "iron-liquor" amount { value: "500" unit: "mL" } from { parcel_code: "P6" amount { value: "100" unit: "g" } } happened_at { seconds: 1778364000 }`},
	{"StockService/CountParcel", `stock count P9 337g --reason stocktaking`, `parcel_code: "P9" counted { value: "337" unit: "g" } reason: "stocktaking"`},
	{"StockService/WriteOffParcel", `stock write-off P4 200g --reason mould`, `parcel_code: "P4" amount { value: "200" unit: "g" } reason: "mould"`},
	{"StockService/WriteOffParcel", `stock send-back P12 --reason "polyester thread"`, `parcel_code: "P12" reason: "polyester thread" send_back: true`},
	{"StockService/ReverseMovement", `stock reverse M12 --reason "wrong bag"`, `movement_code: "M12" reason: "wrong bag"`},
	{"StockService/BlockParcel", `stock block P7 --reason mould`, `parcel_code: "P7" reason: "mould"`},
	{"StockService/BlockParcel", `stock unblock P7`, `parcel_code: "P7" lift: true`},
	{"StockService/SetStrength", `stock strength P2 90% --basis "test dips" --on 2026-05-02`, `parcel_code: "P2" strength_percent: "90" basis: "test dips" measured_on: "2026-05-02"`},
	{"StockService/GetParcel", `stock show P9`, `code: "P9"`},
	{"StockService/ListParcels", `stock list --item weld --empty`, `item_code: "weld" include_empty: true page_size: 1000`},
	{"StockService/PromiseParcel", `stock promise P1 20g --for samples`, `parcel_code: "P1" amount { value: "20" unit: "g" } purpose: "samples"`},
	{"StockService/ReleasePromise", `stock release H3`, `promise_code: "H3"`},
	{"StockService/GetReorderList", `reorder --all`, `all: true`},
	{"StockService/GetReorderList", `reorder --item alum --why --holding 15%`, `item_code: "alum" holding_percent: "15"`},
	{"StockService/ReceiveDelivery", `stock receive alum 500g --order Q5 --line 2`, `item_code: "alum" amount { value: "500" unit: "g" } order_code: "Q5" order_line: 2`},

	{"PurchaseService/SetOffer", `offer set alum "salt works" --pack 500g --price 6.80 --price "4=6.10 EUR" --minimum 2 --carriage 9.50 --lead-days 10 --from today --until 2026-12-31 --note list`,
		`offer { item_code: "alum" supplier: "salt works" pack { value: "500" unit: "g" } prices { from_packs: 1 price { value: "6.80" currency: "NOK" } } prices { from_packs: 4 price { value: "6.10" currency: "EUR" } }
		 minimum_packs: 2 carriage { value: "9.50" currency: "NOK" } lead_days: 10 valid_from: "2026-05-14" valid_until: "2026-12-31" note: "list" }`},
	{"PurchaseService/ListOffers", `offer list alum --all`, `item_code: "alum" all: true page_size: 1000`},
	{"PurchaseService/WithdrawOffer", `offer withdraw alum "salt works" --reason "they closed"`, `item_code: "alum" supplier: "salt works" reason: "they closed"`},
	{"PurchaseService/OrderPurchase", `purchase order "salt works" alum=4kg copperas=500g@12.40 --promised 2026-06-01 --ordered yesterday --by owner --note "by telephone"`,
		`supplier: "salt works" lines { item_code: "alum" amount { value: "4" unit: "kg" } } lines { item_code: "copperas" amount { value: "500" unit: "g" } cost { value: "12.40" currency: "NOK" } }
		 promised_on: "2026-06-01" ordered_on: "2026-05-13" by: "owner" note: "by telephone"`},
	{"PurchaseService/OrderPurchase", `purchase from-reorder alum weld --supplier "salt works"`, `supplier: "salt works" reorder_item_codes: "alum" reorder_item_codes: "weld"`},
	{"PurchaseService/ListPurchases", `purchase list --open --late`, `open: true late: true page_size: 1000`},
	{"PurchaseService/GetPurchase", `purchase show Q5`, `code: "Q5"`},
	{"PurchaseService/ClosePurchaseLine", `purchase close Q5 2 --reason "sold out" --by owner`, `order_code: "Q5" line: 2 reason: "sold out" by: "owner"`},
	{"PurchaseService/PlanBlanks", `purchase blanks tunic-silk-m --mean 60 --sd 10 --price 18 --leftover 10 --earns 40`,
		`item_code: "tunic-silk-m" mean: "60" sd: "10" price { value: "18" currency: "NOK" } leftover { value: "10" currency: "NOK" } earns { value: "40" currency: "NOK" }`},
	{"GatherService/GetGatherList", `gather list --weeks 2 --widen 3`, `to: "2026-05-27" widen_days: 3`},
	{"GatherService/GetGatherList", `gather list --from 2026-06-01 --why`, `from: "2026-06-01" to: "2026-07-26"`},
	{"GatherService/GetPlantYear", `gather plant walnut --part hull --widen 2`, `plant: "walnut" part: "hull" widen_days: 2`},
	{"GatherService/ListStandIns", `gather stand-in harbour-gold --k 5`, `colourway_code: "harbour-gold" k: 5`},
	{"GatherService/ListStandIns", `gather stand-in --plant weld --part tops --within 6.5`, `plant: "weld" part: "tops" within: "6.5"`},
	{"GatherService/NoteMissed", `gather missed weld --year 2026 --reason mown --stand-in T4`, `plant: "weld" year: 2026 reason: "mown" swatch_code: "T4"`},
	{"GatherService/NoteMissed", `gather missed walnut --part hull --reason "no crop" --stand-in tarn --by dyer-1`, `plant: "walnut" part: "hull" reason: "no crop" colourway_code: "tarn" by: "dyer-1"`},

	{"RecipeService/CreateShadeStandard", `standard add harbour-gold --lab 62,-2,38 --tolerance 1.5 --set-tolerance 1.0 --dated 2026-03-01 --observer 2`,
		`standard { code: "harbour-gold" colour { l: 62 a: -2 b: 38 observer: 2 } tolerance: "1.5" set_tolerance: "1.0" dated_on: "2026-03-01" }`},
	{"RecipeService/ListShadeStandards", `standard list`, ``},
	{"RecipeService/CreateRecipeVersion", `recipe add gold --fibre silk --ratio 40 --stage "mordant shared 55C 60min alum=15%" --stage "dye 60C 1h # slowly"`,
		`recipe { code: "gold" fibre: "silk" liquor_ratio: "40"
		 stages { position: 1 kind: "mordant" shared: true celsius: 55 minutes: 60 doses { item_code: "alum" basis: "percent_wof" value: "15" } }
		 stages { position: 2 kind: "dye" celsius: 60 minutes: 60 note: "slowly" } }`},
	{"RecipeService/GetRecipe", `recipe show gold --version 1`, `code: "gold" version: 1`},
	{"RecipeService/ListRecipes", `recipe list`, ``},
	{"RecipeService/ListStageKinds", `recipe stages`, ``},
	{"RecipeService/CreateColourway", `colourway add harbour-gold --standard harbour-gold --recipe gold --name "harbour gold"`,
		`colourway { code: "harbour-gold" name: "harbour gold" standard_code: "harbour-gold" recipe_code: "gold" }`},
	{"RecipeService/ListColourways", `colourway list`, ``},

	// The choir's tunics of stories.md, both ways.
	{"RunService/PlanRun", `run plan harbour-gold --blanks P3=105,104,106,103,105 --blanks P4x5 --pots pot-40,pot-30 --witness P5=18 --vessel 2=tub-60 --matched --due 2026-06-01 --use alum=P9 --dry-run`,
		`colourway_code: "harbour-gold" blanks { parcel_code: "P3" masses { value: "105" unit: "g" } masses { value: "104" unit: "g" } masses { value: "106" unit: "g" } masses { value: "103" unit: "g" } masses { value: "105" unit: "g" } }
		 blanks { parcel_code: "P4" count: 5 } pot_codes: "pot-40" pot_codes: "pot-30" witness_parcel_code: "P5" witness_each { value: "18" unit: "g" }
		 shared_vessels { key: 2 value: "tub-60" } matched_set: true due_on: "2026-06-01" parcels { key: "alum" value: "P9" } dry_run: true`},
	{"RunService/PlanRun", `run plan harbour-gold --load pot-40:P3=105,104 --load pot-30:P3x2 --load pot-40:P4=103g --recipe-version 2`,
		`colourway_code: "harbour-gold" recipe_version: 2
		 loads { vessel_code: "pot-40" blanks { parcel_code: "P3" masses { value: "105" unit: "g" } masses { value: "104" unit: "g" } } blanks { parcel_code: "P4" masses { value: "103" unit: "g" } } }
		 loads { vessel_code: "pot-30" blanks { parcel_code: "P3" count: 2 } }`},
	{"RunService/PlanRun", `run plan deep-grey --garments 16JD,16KF --lot L3 --again 2 --pots pot-30`,
		`colourway_code: "deep-grey" tags: "16JD" tags: "16KF" lot_codes: "L3" again: 2 pot_codes: "pot-30"`},
	{"RunService/PlanRun", `run plan deep-grey --load pot-30:tags=16JD,16KF --load pot-40:P3x2 --load pot-30:P3=105`,
		`colourway_code: "deep-grey" loads { vessel_code: "pot-30" tags: "16JD" tags: "16KF" blanks { parcel_code: "P3" masses { value: "105" unit: "g" } } }
		 loads { vessel_code: "pot-40" blanks { parcel_code: "P3" count: 2 } }`},
	{"CauseService/FindCause", `cause 16JD,16KF --colourway olive-silk,harbour-gold --commission choir-7 --from 2026-01-02 --until today --why`,
		`tags: "16JD" tags: "16KF" colourway_codes: "olive-silk" colourway_codes: "harbour-gold" from: "2026-01-02" until: "2026-05-14" commission_code: "choir-7"`},
	{"CauseService/FindCause", `cause --since 2026-03-01 --complaint "faded at the fold"`, `since: "2026-03-01" complaint: "faded at the fold"`},
	{"CauseService/RecordAction", `action add --supplier-lot NS-118 --supplier "Northern Salts" --because "6 of 9 returns" --returns 16JD,16KF --by dyer-1 --due 2026-07-01`,
		`supplier_lot: "NS-118" supplier: "Northern Salts" because: "6 of 9 returns" tags: "16JD" tags: "16KF" by: "dyer-1" due_on: "2026-07-01"`},
	{"CauseService/RecordAction", `action add --recipe gold@2 --because spots --due 2026-07-01`, `recipe_code: "gold" recipe_version: 2 because: "spots" due_on: "2026-07-01"`},
	{"CauseService/RecordAction", `action add --block P3,P9 --because spots --due 2026-07-01`, `parcel_codes: "P3" parcel_codes: "P9" because: "spots" due_on: "2026-07-01"`},
	{"CauseService/RecordAction", `action add --method "alum in hot water first" --because spots --due 2026-07-01`, `method: "alum in hot water first" because: "spots" due_on: "2026-07-01"`},
	{"CauseService/CompleteAction", `action done A4 --found "it held soda" --by owner --on 2026-05-13`, `code: "A4" done_on: "2026-05-13" by: "owner" found: "it held soda"`},
	{"CauseService/ListActions", `action list --all`, `all: true page_size: 1000`},
	{"OpeningService/ImportOpening", `opening import --items testdata/items.csv --lots testdata/items.csv --dry-run --decimal-comma --day-order dmy --again`,
		`items { name: "items.csv" content: "item;kind\nalum;mordant\n" } lots { name: "items.csv" content: "item;kind\nalum;mordant\n" } dry_run: true decimal_mark: "comma" day_order: "dmy" again: true`},
	{"OpeningService/ListOpeningColumns", `opening columns --of ""`, ``},
	{"SwatchService/AddSwatch", `swatch add silk weld --part leaf --wof 60% --bath "mordant alum=15%" --bath "tannin acorn brew metal none" --lab 58,-4,32 --illuminant A --instrument spectro-1 --read 2026-05-10 --place "the lane" --picked 2026-04-02 --dyed 2026-05-01 --page "book 2" --name gold --family flavonoid --recipe gold --recipe-version 2 --parcel P3 --recipe-words "cold first" --by dyer-1 --note soft`,
		`swatch { fibre: "silk" plant: "weld" part: "leaf" percent_wof: "60" baths { kind: "mordant" substance: "alum" percent_wof: "15" } baths { kind: "tannin" substance: "acorn brew" metal: "none" }
		 colour { l: 58 a: -4 b: 32 illuminant: "A" } instrument: "spectro-1" read_on: "2026-05-10" place: "the lane" picked_on: "2026-04-02" dyed_on: "2026-05-01" page: "book 2" name: "gold" dye_family: "flavonoid"
		 recipe_code: "gold" recipe_version: 2 parcel_code: "P3" recipe_words: "cold first" by: "dyer-1" note: "soft" }`},
	{"SwatchService/AddSwatch", `swatch from-lot L1 --page "book 3 p. 2" --bath "mordant alum"`, `swatch { lot_code: "L1" page: "book 3 p. 2" baths { kind: "mordant" substance: "alum" } }`},
	{"SwatchService/AddSwatch", `swatch add wool weld --file testdata/weld.csv --sample "WELD 3" --ground testdata/undyed.csv --illuminant D50 --instrument spectro-1`,
		`swatch { fibre: "wool" plant: "weld" spectrum { first_nm: 400 step_nm: 10 reflectance: 0.1 reflectance: 0.12 reflectance: 0.14 reflectance: 0.16 reflectance: 0.2 }
		 ground { first_nm: 400 step_nm: 10 reflectance: 0.7 reflectance: 0.72 reflectance: 0.74 reflectance: 0.76 reflectance: 0.8 } colour { illuminant: "D50" observer: 10 }
		 file { name: "weld.csv" sha256: "3cb846877af1b5502959017e45516b93158b0acf84a89e980593900e1b5b6812" sample: "weld 3" } instrument: "spectro-1" }`},
	{"SwatchService/AddSwatches", `swatch import testdata/items.csv --dry-run --decimal-comma --day-order dmy`,
		`sheet { name: "items.csv" content: "item;kind\nalum;mordant\n" } dry_run: true decimal_mark: "comma" day_order: "dmy"`},
	{"SwatchService/ListSwatchColumns", `swatch columns`, ``},
	{"SwatchService/AddSwatchGrade", `swatch grade T3 iso-105-x12 dry=4-5 wet=3 --edition 2016 --by bench-1 --evidence "report 7" --on 2026-05-02`,
		`swatch_code: "T3" method: "iso-105-x12" edition: "2016" grades { component: "dry" grade: "4-5" } grades { component: "wet" grade: "3" } assessor: "bench-1" evidence: "report 7" tested_on: "2026-05-02"`},
	{"SwatchService/StrikeSwatch", `swatch strike T3 --reason "the cloth was viscose" --by owner`, `swatch_code: "T3" reason: "the cloth was viscose" by: "owner"`},
	{"SwatchService/GetSwatch", `swatch show T3`, `swatch_code: "T3"`},
	{"SwatchService/ListSwatches", `swatch list --fibre silk --in-season october --no-metal --food-plants --least light=4,wash-change=3-4 "onion skin" dry`,
		`filter { fibre: "silk" metal: "none" in_season: 10 food_plants: true least { kind: "light" grade: "4" } least { kind: "wash-change" grade: "3-4" } words: "onion skin dry" } page_size: 1000`},
	{"SwatchService/NearestSwatches", `swatch near 62,-2,38 --k 3 --observer 2 --plant weld --part leaf --metal Fe --mordant alum`,
		`colour { l: 62 a: -2 b: 38 observer: 2 } k: 3 filter { plant: "weld" part: "leaf" metal: "Fe" mordant: "alum" }`},
	{"SwatchService/NearestSwatches", `swatch near l7`, `lot_code: "l7" filter {}`},
	{"SwatchService/NearestSwatches", `swatch near harbour-gold`, `standard_code: "harbour-gold" filter {}`},
	{"SwatchService/ExpectFor", `swatch expect harbour-gold`, `colourway_code: "harbour-gold"`},
	{"SwatchService/ExpectFor", `swatch expect L1`, `lot_code: "L1"`},
	{"RecallService/PreviewRecall", `recall preview p4`, `node { code: "p4" }`},
	{"RecallService/PreviewRecall", `recall preview B3/2`, `node { code: "B3" bath_use: 2 }`},
	{"RecallService/PreviewRecall", `recall preview 16JD`, `node { tag: "16JD" }`},
	{"RecallService/PreviewRecall", `recall preview P1234 --garment`, `node { tag: "P1234" }`},
	{"RecallService/PreviewRecall", `recall preview --supplier-lot NS-118 --item alum --supplier "Northern Salts"`, `node { supplier_lot: "NS-118" item_code: "alum" supplier: "Northern Salts" }`},
	{"RecallService/PreviewRecall", `recall preview --place "the lane" --picked 2026-05-10`, `node { place: "the lane" picked_on: "2026-05-10" }`},
	{"RecallService/OpenRecall", `recall open --recipe gold --recipe-version 2 --reason "too weak" --by owner --at 2026-05-13`,
		`node { recipe_code: "gold" recipe_version: 2 } reason: "too weak" by: "owner" happened_at { seconds: 1778623200 }`},
	{"RecallService/MarkTold", `recall told K1 --order market-12 --how "by letter" --by shop-1`, `recall_code: "K1" order_ref: "market-12" how: "by letter" by: "shop-1"`},
	{"RecallService/MarkTold", `recall told K1 16JD 16KF --how "by letter"`, `recall_code: "K1" tags: "16JD" tags: "16KF" how: "by letter"`},
	{"RecallService/MarkAccounted", `recall account K1 16JD 16KF --how returned --note "a hole" --by shop-1`, `recall_code: "K1" tags: "16JD" tags: "16KF" how: "returned" note: "a hole" by: "shop-1"`},
	{"RecallService/CloseRecall", `recall close K1 --reason "all back"`, `recall_code: "K1" reason: "all back"`},
	{"RecallService/GetRecall", `recall show K1`, `code: "K1"`},
	{"RecallService/ListRecallGarments", `recall show K1`, `code: "K1"`},
	{"RecallService/ListRecalls", `recall list --all`, `include_closed: true page_size: 1000`},
	{"RecallService/GetLoss", `recall loss L3`, `code: "L3"`},
	{"GarmentService/DispatchGarments", `garment send 16JD --order choir-7 --override-by owner --override-reason "they know"`, `tags: "16JD" order_ref: "choir-7" override_by: "owner" override_reason: "they know"`},
	{"RunService/PickRun", `run pick R1 --use alum=P9,weld=P2`, `run_code: "R1" parcels { key: "alum" value: "P9" } parcels { key: "weld" value: "P2" }`},
	{"RunService/CancelRun", `run cancel R1 --reason "another green"`, `run_code: "R1" reason: "another green"`},
	{"RunService/GetRun", `run show R1`, `code: "R1"`},
	{"RunService/ListRuns", `run list --all`, `include_ended: true page_size: 1000`},
	{"RunService/IssueLot", `lot issue L1 --at "2026-05-14 08:00"`, `lot_code: "L1" happened_at { seconds: 1778738400 }`},
	{"RunService/GetLot", `lot show L1`, `code: "L1"`},
	{"RunService/ListLots", `lot list --state held`, `state: "held" page_size: 1000`},
	{"RunService/GetBenchCard", `lot card L1`, `lot_code: "L1"`},
	{"RunService/RecordStage", `stage record L1,L2 2 --used P9=162g --vessel tub-60 --by dyer-1 --celsius 55 --minutes 60 --ph 5.5 --litres 43.2 --override-by owner --override-reason "told the choir"`,
		`lot_codes: "L1" lot_codes: "L2" position: 2 used { parcel_code: "P9" amount { value: "162" unit: "g" } } vessel_code: "tub-60" by: "dyer-1" celsius: 55 minutes: 60 ph: "5.5"
		 bath_volume { value: "43.2" unit: "L" } override_by: "owner" override_reason: "told the choir"`},
	{"RunService/RecordStage", `stage record L2 after-dip --used P10=30mL --as-planned`,
		`lot_codes: "L2" position: 5 used { parcel_code: "P10" amount { value: "30" unit: "mL" } } as_planned: true`},
	{"RunService/SkipStage", `stage skip L1 4 --reason "neutral already"`, `lot_codes: "L1" position: 4 reason: "neutral already"`},
	{"RunService/UndoStage", `stage undo S5 --reason "that was lot 3"`, `record_code: "S5" reason: "that was lot 3"`},

	{"DaysService/GetWeekPlan", `week --from 2026-05-18 --days 14 --why`, `from: "2026-05-18" days: 14`},
	{"DaysService/SetHours", `studio hours --weekdays mon,tue --start 08:00 --end 16:30 --people 2 --burners 0 --rack 60 --off 2026-12-24 --clear-off`,
		`weekdays: "mon" weekdays: "tue" from: "08:00" to: "16:30" people: 2 burners: 0 rack_pieces: 60 days_off: "2026-12-24" clear_days_off: true`},
	{"DaysService/PinStage", `stage pin L1 3 --start "2026-05-15 08:00" --vessel pot-40 --reason "two to lift"`,
		`lot_code: "L1" position: 3 starts_at { seconds: 1778824800 } vessel_code: "pot-40" reason: "two to lift"`},
	{"DaysService/UnpinStage", `stage unpin L1 3 --reason "one is ill"`, `lot_code: "L1" position: 3 reason: "one is ill"`},
	{"DaysService/PlanLoads", `run loads harbour-gold tunics=523g caps=250g --pots pot-40,pot-30`,
		`colourway_code: "harbour-gold" sets { name: "tunics" fibre { value: "523" unit: "g" } } sets { name: "caps" fibre { value: "250" unit: "g" } } pot_codes: "pot-40" pot_codes: "pot-30"`},

	{"RunService/RecordStage", `stage record L3 1 --bath B7 --dips 3 --airings 2`, `lot_codes: "L3" position: 1 bath_code: "B7" dips { dips: 3 airings: 2 }`},
	{"RunService/RecordStage", `stage record L3 1 --bath B7 --dipped 16JD,16KF=4/3 --dipped 16MH=2`,
		`lot_codes: "L3" position: 1 bath_code: "B7" dips { tags: "16JD" tags: "16KF" dips: 4 airings: 3 } dips { tags: "16MH" dips: 2 airings: 2 }`},

	{"PotService/AddToBath", `addition add S4 --used P2=36g --look "too pale" --after there --minutes 20 --celsius 60 --ph 7 --by dyer-1`,
		`record_code: "S4" used { parcel_code: "P2" amount { value: "36" unit: "g" } } look_before: "too pale" look_after: "there" minutes: 20 celsius: 60 ph: "7" by: "dyer-1"`},
	{"PotService/ProposeRecipe", `recipe from-lot L3`, `lot_code: "L3"`},
	{"PotService/SetVat", `vat set vat-50 --litres 38 --used P12=50g --ph 9.3 --celsius 50 --fibre wool`,
		`vessel_code: "vat-50" litres { value: "38" unit: "L" } used { parcel_code: "P12" amount { value: "50" unit: "g" } } ph: "9.3" celsius: 50 fibre: "wool"`},
	{"PotService/LogBath", `vat note B7 --ph 9.2 --celsius 28 --used P12=5g`, `bath_code: "B7" kind: "note" ph: "9.2" celsius: 28 used { parcel_code: "P12" amount { value: "5" unit: "g" } }`},
	{"PotService/LogBath", `bath keep S3 --litres 500mL`, `bath_code: "S3" kind: "kept" litres { value: "500" unit: "mL" }`},
	{"PotService/LogBath", `bath top-up B3 --used P1=20g --litres 2`, `bath_code: "B3" kind: "top-up" litres { value: "2" unit: "L" } used { parcel_code: "P1" amount { value: "20" unit: "g" } }`},
	{"PotService/LogBath", `bath spend B3 --litres 40 --ph 6.5 --route "foul sewer"`, `bath_code: "B3" kind: "spent" litres { value: "40" unit: "L" } ph: "6.5" route: "foul sewer"`},
	{"PotService/UndoBathEntry", `bath undo E4 --reason "another tub"`, `entry_code: "E4" reason: "another tub"`},
	{"PotService/ListBaths", `bath list --all`, `all: true page_size: 1000`},
	{"PotService/GetBath", `bath show B3`, `code: "B3"`},
	{"ClothService/ShelveLot", `lot shelve L3 --shade reds --note "top shelf" --by dyer-1 --at "2026-05-14 08:00"`,
		`lot_code: "L3" shade: "reds" note: "top shelf" by: "dyer-1" happened_at { seconds: 1778738400 }`},
	{"ClothService/ListCloth", `cloth list --all`, `include_gone: true page_size: 1000`},

	{"JudgeService/RecordReading", `reading add L1 --lab 62.6,-1.8,38.9 --rested --by bench-1 --instrument spectro-1`,
		`reading { lot_code: "L1" colour { l: 62.6 a: -1.8 b: 38.9 } condition: "dry" rested: true by: "bench-1" instrument: "spectro-1" }`},
	{"JudgeService/RecordReading", `reading add 16JD --lab 60,0,30 --wet`, `reading { tag: "16JD" colour { l: 60 b: 30 } condition: "wet" }`},
	{"MeasureService/RecordMeasurements", `reading import R1 testdata/spots.csv --rested --by bench-1 --leave-out "16jd 3=rust stain" --note tuesday --at 2026-05-13`,
		`measurements { tag: "16JD" illuminant: "D65" observer: 10 condition: "dry" rested: true by: "bench-1" instrument: "spectro-1" note: "tuesday" happened_at { seconds: 1778623200 } ` + spotsFile + `
		 spots { place: "16JD" lab { l: 62.6 a: -1.8 b: 38.9 } } spots { place: "16JD 2" lab { l: 62.4 a: -1.7 b: 38.8 } } spots { place: "16JD 3" lab { l: 40 a: 10 b: 10 } left_out: "rust stain" } }
		 measurements { lot_code: "L2" illuminant: "D65" observer: 10 condition: "dry" rested: true by: "bench-1" instrument: "spectro-1" note: "tuesday" happened_at { seconds: 1778623200 } ` + spotsFile + `
		 spots { place: "L2/1" lab { l: 60.8 a: -1.4 b: 36.6 } } }`},
	{"MeasureService/RecordMeasurements", `reading import 16JD testdata/curve.csv --wet --specular excluded --illuminant A --observer 2`,
		`measurements { tag: "16JD" illuminant: "A" observer: 2 condition: "wet" ` + curveFile + ` spots { place: "red" ` + redCurve + ` } }`},
	{"MeasureService/RecordGround", `reading ground silk-strip testdata/curve.csv --sample red --specular excluded --by bench-1`,
		`ground { item_code: "silk-strip" by: "bench-1" ` + strings.Replace(curveFile, "}", `sample: "red" }`, 1) + redCurve + ` }`},
	{"MeasureService/GetMeasurement", `reading show C4`, `code: "C4"`},
	{"MeasureService/JudgeByEye", `reading eye L2 --against L1 --grade 3-4 --direction weaker,yellower --light "north light" --by dyer-1 --and-by owner --rested --at 2026-05-13`,
		`judgement { lot_code: "L2" against_lot_code: "L1" grade: "3-4" directions: "weaker" directions: "yellower" light: "north light" by: "dyer-1" second_by: "owner" rested: true happened_at { seconds: 1778623200 } }`},
	{"RecipeService/CreateShadeStandard", `standard add red --from testdata/curve.csv --specular excluded --tolerance 1.5`,
		`standard { code: "red" tolerance: "1.5" ` + strings.Replace(curveFile, "}", `sample: "red" }`, 1) + redCurve + ` }`},
	{"JudgeService/RecordFastnessTest", `test add L2 iso-105-b02 light=2-3 --variant 2 --by owner --on 2026-07-02 --evidence "window book p. 12"`,
		`test { lot_code: "L2" method: "iso-105-b02" variant: "2" grades { component: "light" grade: "2-3" } assessor: "owner" tested_on: "2026-07-02" evidence: "window book p. 12" }`},
	{"JudgeService/RecordFastnessTest", `test add L2 studio-home-wash change=4 --measured change=46.3,-2.8,24.4:48.1,-2.0,20.2 --measured "wool=94,0,2:92,3,1" --observer 2 --instrument spectro-1 --specimen "strip 2" --laboratory harbour --report testdata/items.csv`,
		`test { lot_code: "L2" method: "studio-home-wash" grades { component: "change" grade: "4" } instrument: "spectro-1" specimen: "strip 2" laboratory: "harbour"
		 measured { component: "change" before { l: 46.3 a: -2.8 b: 24.4 observer: 2 } after { l: 48.1 a: -2 b: 20.2 observer: 2 } }
		 measured { component: "wool" before { l: 94 b: 2 observer: 2 } after { l: 92 a: 3 b: 1 observer: 2 } }
		 report_name: "items.csv" report_sha256: "` + itemsHash + `" }`},
	{"WearService/GetFastnessTest", `test show F7`, `code: "F7"`},
	{"WearService/GetFastnessTest", `test check F7 testdata/items.csv`, `code: "F7"`},
	{"WearService/AdviseFade", `test fade L1 --lux 400 --hours 10 --uv-filtered`, `lot_code: "L1" lux: 400 hours_per_day: 10 uv_filtered: true`},
	{"WearService/PutOut", `window out L1 --place "shop window" --faces south --lux 2500 --hours 7.5 --blue-wools 1-3,5 --look 7,14d,2026-09-01 --scope recipe --specimen "strip 2" --by bench-1 --on yesterday --note "half covered"`,
		`window { lot_code: "L1" scope: "recipe" specimen: "strip 2" place: "shop window" faces: "south" lux: 2500 hours_per_day: 7.5 blue_wools: 1 blue_wools: 2 blue_wools: 3 blue_wools: 5
		 put_out_on: "2026-05-13" look_on: "2026-09-01" by: "bench-1" note: "half covered" } look_after_days: 7 look_after_days: 14`},
	{"WearService/Look", `window look X4 --grade 4-5 --changed 1,2 --measured 46.3,-2.8,24.4:48.1,-2.0,20.2 --illuminant A --instrument spectro-1 --by bench-1 --on 2026-05-10`,
		`window_code: "X4" look { looked_on: "2026-05-10" grade: "4-5" changed: 1 changed: 2 by: "bench-1"
		 measured { before { l: 46.3 a: -2.8 b: 24.4 illuminant: "A" } after { l: 48.1 a: -2 b: 20.2 illuminant: "A" } instrument: "spectro-1" } }`},
	{"WearService/TakeIn", `window in X4 --grade 2-3 --direction weaker --by owner --evidence "window book p. 12" --on 2026-05-14`,
		`window_code: "X4" taken_in_on: "2026-05-14" grade: "2-3" direction: "weaker" by: "owner" evidence: "window book p. 12"`},
	{"WearService/ListWindows", `window list --all --lot L1`, `all: true lot_code: "L1" page_size: 1000`},
	{"WearService/GetWindow", `window show X4`, `code: "X4"`},
	{"WearService/LoadStudies", `study load nayak2014 liriope2014`, `keys: "nayak2014" keys: "liriope2014"`},
	{"WearService/ListStudies", `study list`, ``},
	{"WearService/FindStudyResults", `study find --mordant alum --fibre silk --component light --least 3-4`, `mordant: "alum" fibre: "silk" component: "light" least_grade: "3-4" page_size: 1000`},
	{"JudgeService/ListMethods", `test methods`, ``},
	{"JudgeService/ListHouseStandard", `house list --all`, `all: true`},
	{"JudgeService/SetHouseRow", `house set light --minimum 3 --on`, `key: "light" minimum: "3" active: true`},
	{"JudgeService/SetHouseRow", `house set light --minimum 3-4`, `key: "light" minimum: "3-4" active: true`},
	{"JudgeService/GetJudgement", `verdict show L2`, `lot_code: "L2"`},
	{"JudgeService/GiveVerdict", `verdict give L2 Passed --by owner --only 16JD,16KF --reason "looked at each"`,
		`lot_code: "L2" outcome: "passed" by: "owner" tags: "16JD" tags: "16KF" reason: "looked at each"`},
	{"JudgeService/OverrideRow", `verdict override L2 light --by owner --reason "worn indoors"`, `lot_code: "L2" row: "light" by: "owner" reason: "worn indoors"`},

	{"ShadeService/SortShades", `shade sort R1 --tolerance 1.0 --set tunic=10,scarf=2`, `run_code: "R1" tolerance: "1.0" pieces { what: "tunic" count: 10 } pieces { what: "scarf" count: 2 }`},
	{"ShadeService/SortShades", `shade sort --lot L1,L2`, `lot_codes: "L1" lot_codes: "L2"`},
	{"ShadeService/KeepShades", `shade sort --commission W1 --keep --by bench-1`, `sort { commission_code: "W1" } by: "bench-1"`},
	{"ShadeService/GetShadeHistory", `shade history harbour-gold`, `colourway_code: "harbour-gold"`},
	{"ShadeService/GetShadeHistory", `shade history --standard gold`, `standard_code: "gold"`},
	{"CostService/SetRates", `cost set-rates --labour 24 --pot-day 6 --pot-day vat-50=9 --test iso-105-x12=18 --usual-loss 2% --usual-loss vat-dip=3% --pooled alum --not-pooled weld --from 2026-01-01 --note "the winter's sums"`,
		`rates { kind: "labour" money { value: "24" currency: "NOK" } } rates { kind: "pot-day" money { value: "6" currency: "NOK" } } rates { kind: "pot-day" subject: "vat-50" money { value: "9" currency: "NOK" } }
		 rates { kind: "test" subject: "iso-105-x12" money { value: "18" currency: "NOK" } } rates { kind: "normal-loss" percent: "2" } rates { kind: "normal-loss" subject: "vat-dip" percent: "3" }
		 rates { kind: "pooled" subject: "alum" pooled: true } rates { kind: "pooled" subject: "weld" } from_on: "2026-01-01" note: "the winter's sums"`},
	{"CostService/GetRates", `cost rates --on 2026-05-14`, `on: "2026-05-14"`},
	{"CostService/RecordLabour", `cost labour L1 "1h 10min" --by dyer-1 --on yesterday`, `of: "L1" minutes: 70 by: "dyer-1" on: "2026-05-13"`},
	{"CostService/RecordLabour", `cost labour S4 10min --less --reason "a break"`, `of: "S4" minutes: -10 note: "a break"`},
	{"CostService/GetLotCost", `cost lot L1 --why --margin 60% --exhaust by-fibre`, `lot_code: "L1" exhaust_rule: "by-fibre" margin_percent: "60"`},
	{"CostService/GetRunCost", `cost run R1`, `run_code: "R1"`},
	{"CostService/CompareWhatIf", `whatif harbour-gold --mordant aluminium-sulphate,alum --replace weld=birch --pieces 24 --pots pot-30 --recipe weld-wool@2 --blank cap-wool`,
		`colourway_code: "harbour-gold" blank_item_code: "cap-wool" pieces: 24
		 changes { recipe_code: "weld-wool" recipe_version: 2 replace { key: "weld" value: "birch" } mordant: "aluminium-sulphate" pot_codes: "pot-30" }
		 changes { recipe_code: "weld-wool" recipe_version: 2 replace { key: "weld" value: "birch" } mordant: "alum" pot_codes: "pot-30" }`},
	{"CostService/CompareWhatIf", `whatif R1 --pots pot-30`, `run_code: "R1" changes { pot_codes: "pot-30" }`},
	{"RunService/RecordStage", `stage record L2 3 --labour 25min`, `lot_codes: "L2" position: 3 labour_minutes: 25`},

	{"GarmentService/ListGarments", `garment list --lot L2 --place sold --order choir-7`, `lot_code: "L2" place: "sold" order_ref: "choir-7" page_size: 1000`},
	{"GarmentService/DispatchGarments", `garment send 16JD 16KF --order choir-7`, `tags: "16JD" tags: "16KF" order_ref: "choir-7"`},
	{"GarmentService/DispatchGarments", `garment send --lot L2 --order choir-7`, `tags: "16JD" tags: "16KF" order_ref: "choir-7"`},
	{"GarmentService/TakeBackGarment", `garment take-back 16JD --complaint "shoulders faded"`, `tag: "16JD" complaint: "shoulders faded"`},
	{"RunService/PlanRun", `run plan olive-silk --blanks P3x10 --pots pot-40 --commission W1`,
		`colourway_code: "olive-silk" blanks { parcel_code: "P3" count: 10 } pot_codes: "pot-40" commission_code: "W1"`},
	{"RunService/PlanRun", `run plan harbour-gold --blanks P3x10 --pots pot-40 --collection spring-27`,
		`colourway_code: "harbour-gold" blanks { parcel_code: "P3" count: 10 } pot_codes: "pot-40" collection_code: "spring-27"`},
	{"SeasonService/CreateCollection", `collection add spring-27 --name "spring 2027" --note "the small one"`, `collection { code: "spring-27" name: "spring 2027" note: "the small one" }`},
	{"SeasonService/SetCollectionLine", `collection set spring-27 harbour-gold tunic-silk-m=12pc --due 2027-06-30`,
		`collection_code: "spring-27" line { colourway_code: "harbour-gold" item_code: "tunic-silk-m" pieces: 12 due_on: "2027-06-30" }`},
	{"SeasonService/SetCollectionLine", `collection set spring-27 harbour-gold tunic-silk-m=0 --due 2027-06-30`,
		`collection_code: "spring-27" line { colourway_code: "harbour-gold" item_code: "tunic-silk-m" due_on: "2027-06-30" }`},
	{"SeasonService/GetCollection", `collection show spring-27`, `code: "spring-27"`},
	{"SeasonService/ListCollections", `collection list`, `page_size: 1000`},
	{"SeasonService/PlanNeeds", `season needs spring-27 autumn-27 --from 2027-W10 --to 2027-W26 --why alum --kept alum=40%,oak-gall=25 --witness 25g`,
		`collection_codes: "spring-27" collection_codes: "autumn-27" from_week: "2027-W10" to_week: "2027-W26" item_code: "alum" kept_percent { key: "alum" value: "40" } kept_percent { key: "oak-gall" value: "25" }
		 witness_each { value: "25" unit: "g" }`},
	{"SeasonService/PlanNeeds", `season needs --csv -`, ``},
	{"CommissionService/CreateCommission", `commission add choir-7 --colourway olive-silk --pieces tunic=10,scarf=2 --spare 1 --tolerance 1.0 --due 2026-07-10 --might-not-take "scarf=old wax, at one hem" --note "two rows"`,
		`commission { reference: "choir-7" colourway_code: "olive-silk" set_tolerance: "1.0" due_on: "2026-07-10" spares: 1 note: "two rows"
		 pieces { item_code: "tunic" count: 10 } pieces { item_code: "scarf" count: 2 might_not_take: "old wax, at one hem" } }`},
	{"CommissionService/SignCommission", `commission sign W1 --reading C4 --by conductor --on yesterday --note "by the window"`,
		`commission_code: "W1" sign_off { reading_code: "C4" by_role: "conductor" signed_on: "2026-05-13" note: "by the window" }`},
	{"CommissionService/GetCommission", `commission show choir-7`, `code: "choir-7"`},
	{"CommissionService/ListCommissions", `commission list --all`, `include_ended: true page_size: 1000`},
	{"CommissionService/ReceiveCustomers", `commission receive W1 shirt-cotton 2pc --piece-mass 240g --might-not-take "rust at one cuff" --at 2026-05-13`,
		`commission_code: "W1" item_code: "shirt-cotton" pieces: 2 piece_mass { value: "240" unit: "g" } might_not_take: "rust at one cuff" happened_at { seconds: 1778623200 }`},
	{"CommissionService/GiveBack", `commission give-back W1 16JD 16KF --undyed P5=1pc --note "one spare"`,
		`commission_code: "W1" tags: "16JD" tags: "16KF" undyed { parcel_code: "P5" amount { value: "1" unit: "pc" } } note: "one spare"`},
	{"CommissionService/SampleParcel", `stock sampled P9 --reading C4 --lot L2 --note "swatch book p. 31" --on yesterday --by dyer-1`,
		`parcel_code: "P9" lot_code: "L2" reading_code: "C4" note: "swatch book p. 31" sampled_on: "2026-05-13" by: "dyer-1"`},
	{"CommissionService/CheckArrival", `arrival check P5 --size-before 62x48cm --size-after 60x47.5 --drop-test 0s --brightener no --thread cotton --buttons shell --cut-off "took even" --verdict accept --by bench-1`,
		`parcel_code: "P5" check { size_before { length_cm: "62" width_cm: "48" } size_after { length_cm: "60" width_cm: "47.5" } drop_seconds: 0 brightener: "no" thread: "cotton"
		 buttons: "shell" cut_off: "took even" verdict: "accept" by: "bench-1" }`},
	{"CommissionService/GetArrival", `arrival show P5`, `parcel_code: "P5"`},
	{"GarmentService/MendGarment", `garment mend 16JD --text "hem taken up" --by bench-1`, `tag: "16JD" text: "hem taken up" by: "bench-1"`},
	{"GarmentService/TraceGarment", `trace 16JD`, `tag: "16JD"`},
	{"GarmentService/TraceGarment", `trace P1234 --garment`, `tag: "P1234"`},
	{"GarmentService/TraceParcel", `trace P9`, `parcel_code: "P9"`},
}

// shelf answers what a command must look up before it asks.
func shelf(a asked) (proto.Message, error) {
	switch a.method {
	case "StudioService/GetStudio":
		return &dyelotv1.GetStudioResponse{Studio: &dyelotv1.Studio{TimeZone: "Europe/Oslo", Currency: "NOK"}}, nil
	case "StudioService/Backup":
		return &dyelotv1.BackupResponse{Chunk: []byte("a copy")}, nil
	case "StockService/ListItems":
		return &dyelotv1.ListItemsResponse{Items: []*dyelotv1.Item{{Code: "alum", Reorder: &dyelotv1.ReorderTerms{
			Minimum: &dyelotv1.Amount{Value: "100", Unit: "g"}, Pack: &dyelotv1.Amount{Value: "500", Unit: "g"}, Supplier: "salt works", LeadDays: 7,
		}}}}, nil
	case "RunService/GetLot":
		return &dyelotv1.GetLotResponse{Stages: []*dyelotv1.PlannedStage{{Position: 4, Kind: "dye"}, {Position: 5, Kind: "after-dip"}}}, nil
	case "RunService/GetRun":
		return &dyelotv1.GetRunResponse{Run: &dyelotv1.Run{Lots: []*dyelotv1.Lot{{Code: "L2", Garments: []*dyelotv1.Garment{{Tag: "16JD"}}}}}}, nil
	case "JudgeService/ListHouseStandard":
		return &dyelotv1.ListHouseStandardResponse{Rows: []*dyelotv1.HouseRow{{Key: "light", Active: true}}}, nil
	case "WearService/GetFastnessTest":
		return &dyelotv1.GetFastnessTestResponse{Test: &dyelotv1.FastnessTest{Code: "F7", ReportName: "items.csv", ReportSha256: itemsHash}}, nil
	case "GarmentService/ListGarments":
		return &dyelotv1.ListGarmentsResponse{Garments: []*dyelotv1.Garment{{Tag: "16JD"}, {Tag: "16KF"}}}, nil
	}
	return nil, nil
}

func TestEachMethodIsReachedByItsCommand(t *testing.T) {
	t.Parallel()
	for _, c := range every {
		t.Run(c.line, func(t *testing.T) {
			t.Parallel()
			service := open(t, shelf)
			got := at(service).run(t, words(t, strings.Replace(c.line, "FILE", t.TempDir()+"/studio.backup", 1))...)
			if got.code != 0 {
				t.Fatalf("exit code %d: %s", got.code, got.err)
			}
			calls := service.seen()
			i := slices.IndexFunc(calls, func(a asked) bool { return a.method == c.method })
			if i < 0 {
				t.Fatalf("%s was not asked, only %v", c.method, calls)
			}
			want := calls[i].request.ProtoReflect().New().Interface()
			if err := prototext.Unmarshal([]byte(c.request), want); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, calls[i].request, protocmp.Transform(), protocmp.IgnoreFields(&dyelotv1.CreateTokenRequest{}, "token_sha256"), ignoreIDs(calls[i].request)); diff != "" {
				t.Errorf("%s (-want +got):\n%s", c.method, diff)
			}
			if id := idOf(calls[i].request); methodOf(c.method).Input().Fields().ByName("request_id") != nil && !strings.HasPrefix(id, "r-") {
				t.Errorf("request id %q: want one made up", id)
			}
		})
	}
}

// words splits a command line as a shell does, as far as these lines need it.
func words(t *testing.T, line string) []string {
	t.Helper()
	var all []string
	word, quote, inside := "", rune(0), false
	for _, r := range line {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote, inside = r, true
		case r == quote:
			quote = 0
		case quote == 0 && (r == ' ' || r == '\n'):
			if inside || word != "" {
				all = append(all, word)
			}
			word, inside = "", false
		default:
			word += string(r)
		}
	}
	if quote != 0 {
		t.Fatalf("%s: a quote is not closed", line)
	}
	if inside || word != "" {
		all = append(all, word)
	}
	return all
}

func idOf(m proto.Message) string {
	f := m.ProtoReflect().Descriptor().Fields().ByName("request_id")
	if f == nil {
		return ""
	}
	return m.ProtoReflect().Get(f).String()
}

func ignoreIDs(m proto.Message) cmp.Option {
	if m.ProtoReflect().Descriptor().Fields().ByName("request_id") == nil {
		return cmp.Options{}
	}
	return protocmp.IgnoreFields(m, "request_id")
}

// The contract is the judge: a method that no command reaches fails here.
func TestNoMethodIsLeftWithoutACommand(t *testing.T) {
	t.Parallel()
	reached := map[string]bool{}
	for _, c := range every {
		reached[c.method] = true
	}
	protoregistry.GlobalFiles.RangeFilesByPackage("dyelot.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			service := file.Services().Get(i)
			for j := range service.Methods().Len() {
				if name := fmt.Sprintf("%s/%s", service.Name(), service.Methods().Get(j).Name()); !reached[name] {
					t.Errorf("no command reaches %s", name)
				}
			}
		}
		return true
	})
}

// The seconds in the table above, from the civil times they stand for.
func TestTheTableSTimes(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]int64{
		"2027-01-01T08:00:00+01:00": 1798786800, "2026-05-14T09:30:00+02:00": 1778743800, "2026-05-13T00:00:00+02:00": 1778623200,
		"2026-05-10T00:00:00+02:00": 1778364000, "2026-05-14T08:00:00+02:00": 1778738400,
	} {
		at, err := timeOf(text, noon, noon.Location())
		if err != nil || timestamppb.New(at).GetSeconds() != want {
			t.Errorf("%s is %d, want %d (%v)", text, at.Unix(), want, err)
		}
	}
}
