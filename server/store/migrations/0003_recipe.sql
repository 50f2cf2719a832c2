-- +goose Up
-- Standards, recipes and colourways. A written version never changes.

create table shade_standard (
    id bigint generated always as identity constraint shade_standard_pkey primary key,
    code text not null constraint shade_standard_code_key unique,
    name text not null,
    l double precision not null constraint shade_standard_l_range check (l between 0 and 100),
    a double precision not null constraint shade_standard_a_range check (a between -300 and 300),
    b double precision not null constraint shade_standard_b_range check (b between -300 and 300),
    illuminant text not null,
    observer smallint not null constraint shade_standard_observer_known check (observer in (2, 10)),
    -- Thousandths of a CIEDE2000 unit, as the owner typed them.
    tolerance bigint not null constraint shade_standard_tolerance_positive check (tolerance > 0),
    set_tolerance bigint not null constraint shade_standard_set_tolerance_positive check (set_tolerance > 0),
    dated_on date not null,
    renew_on date,
    note text not null default '',
    recorded_by bigint not null constraint shade_standard_principal_fkey references principal,
    recorded_at timestamptz not null
);

create table recipe (
    id bigint generated always as identity constraint recipe_pkey primary key,
    code text not null constraint recipe_code_key unique
);

create table recipe_version (
    id bigint generated always as identity constraint recipe_version_pkey primary key,
    recipe_id bigint not null constraint recipe_version_recipe_fkey references recipe,
    version integer not null constraint recipe_version_counts_from_one check (version > 0),
    name text not null,
    fibre text not null,
    liquor_ratio bigint not null constraint recipe_version_ratio_positive check (liquor_ratio > 0),
    note text not null default '',
    written_by bigint not null constraint recipe_version_principal_fkey references principal,
    written_at timestamptz not null,
    constraint recipe_version_once unique (recipe_id, version)
);

create table recipe_stage (
    version_id bigint not null constraint recipe_stage_version_fkey references recipe_version,
    position integer not null constraint recipe_stage_position_positive check (position > 0),
    kind text not null,
    shared boolean not null,
    celsius integer not null default 0,
    minutes integer not null default 0,
    -- Zero: the recipe's.
    liquor_ratio bigint not null default 0,
    -- Hundredths of a pH unit.
    ph_low integer,
    ph_high integer,
    note text not null default '',
    constraint recipe_stage_pkey primary key (version_id, position)
);

create table recipe_dose (
    version_id bigint not null,
    position integer not null,
    line smallint not null,
    item_id bigint not null constraint recipe_dose_item_fkey references item,
    basis text not null constraint recipe_dose_basis_known check (basis in ('percent_wof', 'grams_per_litre', 'ml_per_kg', 'pieces_per_kg')),
    -- percent_wof: 0.0001 %; grams_per_litre: mg/L; ml_per_kg: µL/kg; pieces_per_kg: pieces.
    value bigint not null constraint recipe_dose_value_positive check (value > 0),
    constraint recipe_dose_pkey primary key (version_id, position, line),
    constraint recipe_dose_stage_fkey foreign key (version_id, position) references recipe_stage
);

create table colourway (
    id bigint generated always as identity constraint colourway_pkey primary key,
    code text not null constraint colourway_code_key unique,
    name text not null,
    standard_id bigint not null constraint colourway_standard_fkey references shade_standard,
    recipe_id bigint not null constraint colourway_recipe_fkey references recipe,
    created_at timestamptz not null
);

create trigger shade_standard_is_history before update or delete or truncate on shade_standard
    for each statement execute function refuse_change();
create trigger recipe_version_is_history before update or delete or truncate on recipe_version
    for each statement execute function refuse_change();
create trigger recipe_stage_is_history before update or delete or truncate on recipe_stage
    for each statement execute function refuse_change();
create trigger recipe_dose_is_history before update or delete or truncate on recipe_dose
    for each statement execute function refuse_change();
