-- +goose Up
-- The swatch book: every trial, with what made it, how it measured and how it
-- wore. A page is never changed; a wrong one is struck out and stays to be read.

create table swatch (
    id bigint generated always as identity constraint swatch_pkey primary key,
    name text not null default '',
    fibre text not null,
    plant text not null default '',
    part text not null default '',
    dye_family text not null default '',
    place text not null default '',
    picked_on date,
    -- The harvest or bag it was dyed from, the recipe's version, and the lot
    -- whose witness cloth it is, where the books know them.
    parcel_id bigint constraint swatch_parcel_fkey references parcel,
    version_id bigint constraint swatch_version_fkey references recipe_version,
    lot_id bigint constraint swatch_lot_fkey references lot,
    -- The recipe in words, where it stands in no book.
    recipe_words text not null default '',
    -- Of the dyestuff, in ten-thousandths of a per cent WOF on air-dry fibre.
    percent_wof bigint constraint swatch_percent_positive check (percent_wof > 0),
    dyed_on date not null,
    -- Where the cloth itself is kept: "book 2 p. 31".
    page text not null default '',
    l double precision constraint swatch_l_range check (l between 0 and 100),
    a double precision constraint swatch_a_range check (a between -300 and 300),
    b double precision constraint swatch_b_range check (b between -300 and 300),
    illuminant text,
    observer smallint constraint swatch_observer_known check (observer in (2, 10)),
    first_nm smallint,
    step_nm smallint constraint swatch_step_known check (step_nm in (5, 10, 20)),
    reflectance double precision[],
    -- The undyed cloth, at the same wavelengths.
    ground double precision[],
    specular text not null default '' constraint swatch_specular_known check (specular in ('', 'included', 'excluded')),
    instrument text not null default '',
    -- The file that the instrument wrote.
    file_name text not null default '',
    file_sha256 bytea constraint swatch_file_hash_whole check (octet_length(file_sha256) = 32),
    read_on date,
    by_name text not null,
    note text not null default '',
    -- Words of its baths and of its recipe's code, for a search.
    also text not null default '',
    -- Runs of letters and digits alone: left to itself the parser takes "NS-118"
    -- for a word and a negative number, and a file's name for one word.
    words tsvector generated always as (to_tsvector('simple', regexp_replace(
        name || ' ' || fibre || ' ' || plant || ' ' || part || ' ' || dye_family || ' ' || place || ' ' || recipe_words || ' ' || page || ' ' || note || ' ' || also,
        '[^[:alnum:]]+', ' ', 'g'))) stored,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint swatch_principal_fkey references principal,
    constraint swatch_colour_whole check (num_nonnulls(l, a, b, illuminant, observer) in (0, 5)),
    constraint swatch_spectrum_whole check (num_nonnulls(first_nm, step_nm, reflectance) in (0, 3)),
    constraint swatch_spectrum_has_a_colour check (reflectance is null or l is not null),
    constraint swatch_ground_has_a_spectrum check (ground is null or reflectance is not null)
);
create index swatch_words_idx on swatch using gin (words);
create index swatch_plant_idx on swatch (plant, fibre, id);
create index swatch_fibre_idx on swatch (fibre, id);
create index swatch_lot_idx on swatch (lot_id) where lot_id is not null;

-- What was done to the cloth besides the dyestuff, in order.
create table swatch_bath (
    swatch_id bigint not null constraint swatch_bath_swatch_fkey references swatch,
    line smallint not null,
    -- A stage kind: mordant, tannin, after-dip, chalk-bath …
    kind text not null,
    -- A key of the table of substances, or its own words.
    substance text not null,
    -- The metal it adds, as its symbol: Al, Fe, Cu; empty where none.
    metal text not null default '',
    -- In ten-thousandths of a per cent WOF; null where nobody knows.
    percent_wof bigint constraint swatch_bath_percent_positive check (percent_wof > 0),
    constraint swatch_bath_pkey primary key (swatch_id, line)
);
create index swatch_bath_substance_idx on swatch_bath (substance, swatch_id);
create index swatch_bath_metal_idx on swatch_bath (metal, swatch_id) where metal <> '';

-- How the swatch wore: what to expect of a lot, and never a lot's own grade.
create table swatch_grade (
    id bigint generated always as identity constraint swatch_grade_pkey primary key,
    swatch_id bigint not null constraint swatch_grade_swatch_fkey references swatch,
    method text not null,
    edition text not null default '',
    variant text not null default '',
    component text not null,
    -- As written: "3-4". Beside it what it answers, on which scale, and its place
    -- there in half grades, so that it can be compared: 7 is 3-4.
    grade text not null,
    kind text not null,
    scale text not null,
    half_grades smallint not null constraint swatch_grade_positive check (half_grades > 0),
    assessor text not null constraint swatch_grade_has_an_assessor check (assessor <> ''),
    evidence text not null default '',
    tested_on date not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint swatch_grade_principal_fkey references principal
);
create index swatch_grade_swatch_idx on swatch_grade (swatch_id);
create index swatch_grade_kind_idx on swatch_grade (kind, scale, half_grades, swatch_id);

create table swatch_struck (
    swatch_id bigint constraint swatch_struck_pkey primary key constraint swatch_struck_swatch_fkey references swatch,
    reason text not null constraint swatch_struck_has_a_reason check (reason <> ''),
    by_name text not null,
    at timestamptz not null,
    recorded_by bigint not null constraint swatch_struck_principal_fkey references principal
);

create trigger swatch_is_history before update or delete or truncate on swatch
    for each statement execute function refuse_change();
create trigger swatch_bath_is_history before update or delete or truncate on swatch_bath
    for each statement execute function refuse_change();
create trigger swatch_grade_is_history before update or delete or truncate on swatch_grade
    for each statement execute function refuse_change();
create trigger swatch_struck_is_history before update or delete or truncate on swatch_struck
    for each statement execute function refuse_change();
