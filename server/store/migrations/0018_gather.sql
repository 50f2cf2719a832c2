-- +goose Up
-- Plants whose weeks went by with their need not covered, as a person noted it:
-- nobody is reminded of that year's any more. The newest of a plant, part and
-- year is in force.

create table missed_gathering (
    id bigint generated always as identity constraint missed_gathering_pkey primary key,
    -- In the words of the table of weeks; a part that nobody named is empty.
    plant text not null constraint missed_gathering_has_a_plant check (plant <> ''),
    part text not null default '',
    -- In which its weeks began.
    year smallint not null constraint missed_gathering_year_range check (year between 1900 and 2200),
    reason text not null constraint missed_gathering_has_a_reason check (reason <> ''),
    -- What is dyed with instead, where that is known.
    swatch_id bigint constraint missed_gathering_swatch_fkey references swatch,
    colourway_id bigint constraint missed_gathering_colourway_fkey references colourway,
    by_name text not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint missed_gathering_principal_fkey references principal,
    constraint missed_gathering_one_stand_in check (num_nonnulls(swatch_id, colourway_id) <= 1)
);
create index missed_gathering_plant_idx on missed_gathering (plant, part, year, id desc);

create trigger missed_gathering_is_history before update or delete or truncate on missed_gathering
    for each statement execute function refuse_change();
