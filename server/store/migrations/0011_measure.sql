-- +goose Up
-- How a reading was taken: spot by spot, as spectra or as L*a*b*, and from
-- which file; the spectrum of a standard and of undyed cloth; and what eyes
-- said, beside what instruments said.

alter table reading
    add column specular text not null default ''
        constraint reading_specular_known check (specular in ('', 'included', 'excluded')),
    add column file_name text not null default '',
    add column file_sample text not null default '',
    add column file_sha256 bytea constraint reading_file_hash_whole check (octet_length(file_sha256) = 32);

-- The reading's own l, a, b are the mean of the spots that count.
create table reading_spot (
    reading_id bigint not null constraint reading_spot_reading_fkey references reading,
    line smallint not null,
    -- Where on the cloth: "left sleeve"; or the sample's name in the file.
    place text not null default '',
    -- In the reading's light and by its eye.
    l double precision not null constraint reading_spot_l_range check (l between 0 and 100),
    a double precision not null constraint reading_spot_a_range check (a between -300 and 300),
    b double precision not null constraint reading_spot_b_range check (b between -300 and 300),
    -- Wavelengths in nm; all three null where only L*a*b* is known.
    first_nm smallint,
    step_nm smallint constraint reading_spot_step_known check (step_nm in (5, 10, 20)),
    reflectance double precision[],
    -- Why a person left it out of the mean; empty: it counts.
    left_out text not null default '',
    constraint reading_spot_pkey primary key (reading_id, line),
    constraint reading_spot_spectrum_whole check (num_nonnulls(first_nm, step_nm, reflectance) in (0, 3))
);

create table standard_spectrum (
    standard_id bigint constraint standard_spectrum_pkey primary key constraint standard_spectrum_standard_fkey references shade_standard,
    first_nm smallint not null,
    step_nm smallint not null constraint standard_spectrum_step_known check (step_nm in (5, 10, 20)),
    reflectance double precision[] not null,
    specular text not null default '' constraint standard_spectrum_specular_known check (specular in ('', 'included', 'excluded')),
    instrument text not null default '',
    file_name text not null default '',
    file_sample text not null default '',
    file_sha256 bytea constraint standard_spectrum_file_hash_whole check (octet_length(file_sha256) = 32),
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint standard_spectrum_principal_fkey references principal
);

-- Undyed cloth of an item (blank or witness cloth), scoured: what K/S is
-- counted from. The newest of an item is in force.
create table ground_reading (
    id bigint generated always as identity constraint ground_reading_pkey primary key,
    item_id bigint not null constraint ground_reading_item_fkey references item,
    first_nm smallint not null,
    step_nm smallint not null constraint ground_reading_step_known check (step_nm in (5, 10, 20)),
    reflectance double precision[] not null,
    specular text not null default '' constraint ground_reading_specular_known check (specular in ('', 'included', 'excluded')),
    instrument text not null default '',
    file_name text not null default '',
    file_sample text not null default '',
    file_sha256 bytea constraint ground_reading_file_hash_whole check (octet_length(file_sha256) = 32),
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint ground_reading_principal_fkey references principal
);
create index ground_reading_item_idx on ground_reading (item_id, id desc);

-- One look by one or two people under one light, by the grey scale for change.
create table eye_judgement (
    id bigint generated always as identity constraint eye_judgement_pkey primary key,
    lot_id bigint not null constraint eye_judgement_lot_fkey references lot,
    garment_id bigint constraint eye_judgement_garment_fkey references garment,
    -- Against the run's standard, or against another lot of the set.
    against_lot_id bigint constraint eye_judgement_against_fkey references lot,
    -- As written: "4-5"; its order is the scale's, in inventory/fastness.
    grade text not null,
    direction text not null default '',
    light text not null constraint eye_judgement_has_a_light check (light <> ''),
    by_name text not null constraint eye_judgement_has_a_name check (by_name <> ''),
    second_name text not null default '',
    rested boolean not null,
    note text not null default '',
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint eye_judgement_principal_fkey references principal,
    constraint eye_judgement_not_against_itself check (against_lot_id <> lot_id)
);
create index eye_judgement_lot_idx on eye_judgement (lot_id);

alter table evidence_withdrawn
    add column eye_id bigint constraint evidence_withdrawn_eye_fkey references eye_judgement constraint evidence_withdrawn_eye_once unique,
    drop constraint evidence_withdrawn_of_one_thing,
    add constraint evidence_withdrawn_of_one_thing check (num_nonnulls(reading_id, test_id, log_entry_id, eye_id) = 1);

create trigger reading_spot_is_history before update or delete or truncate on reading_spot
    for each statement execute function refuse_change();
create trigger standard_spectrum_is_history before update or delete or truncate on standard_spectrum
    for each statement execute function refuse_change();
create trigger ground_reading_is_history before update or delete or truncate on ground_reading
    for each statement execute function refuse_change();
create trigger eye_judgement_is_history before update or delete or truncate on eye_judgement
    for each statement execute function refuse_change();
