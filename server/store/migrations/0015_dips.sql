-- +goose Up
-- Test dips: one parcel of a dyestuff dyed at several shallow doses beside a
-- reference, and what was read. The strength is reckoned from them when asked;
-- what was set for the parcel stands in parcel_strength and names its series.

create table dip_series (
    id bigint generated always as identity constraint dip_series_pkey primary key,
    parcel_id bigint not null constraint dip_series_parcel_fkey references parcel,
    -- A parcel, or words for what is not in the books.
    reference_parcel_id bigint constraint dip_series_reference_fkey references parcel,
    reference_words text not null default '',
    -- The reference parcel's own strength as it stood then, in ten-thousandths
    -- of a per cent; null where none was known or the reference is in words.
    reference_percent bigint constraint dip_series_reference_positive check (reference_percent > 0),
    fibre text not null,
    mordant text not null default '',
    -- The undyed cloth, scoured and mordanted as the dips were.
    first_nm smallint not null,
    step_nm smallint not null constraint dip_series_step_known check (step_nm in (5, 10, 20)),
    ground double precision[] not null,
    specular text not null default '' constraint dip_series_specular_known check (specular in ('', 'included', 'excluded')),
    -- What was written for the parcel in the same act; null where nothing was.
    set_percent bigint constraint dip_series_set_positive check (set_percent > 0),
    note text not null default '',
    by_name text not null constraint dip_series_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint dip_series_principal_fkey references principal,
    constraint dip_series_has_one_reference check ((reference_parcel_id is null) = (reference_words <> '')),
    constraint dip_series_not_against_itself check (reference_parcel_id <> parcel_id)
);
create index dip_series_parcel_idx on dip_series (parcel_id);
create index dip_series_reference_idx on dip_series (reference_parcel_id) where reference_parcel_id is not null;

create table dip (
    series_id bigint not null constraint dip_series_fkey references dip_series,
    -- Of the reference, or of the parcel.
    reference boolean not null,
    line smallint not null,
    -- In ten-thousandths of a per cent WOF on air-dry fibre.
    percent_wof bigint not null constraint dip_percent_positive check (percent_wof > 0),
    first_nm smallint not null,
    step_nm smallint not null constraint dip_step_known check (step_nm in (5, 10, 20)),
    reflectance double precision[] not null,
    specular text not null default '' constraint dip_specular_known check (specular in ('', 'included', 'excluded')),
    file_name text not null default '',
    file_sample text not null default '',
    file_sha256 bytea constraint dip_file_hash_whole check (octet_length(file_sha256) = 32),
    constraint dip_pkey primary key (series_id, reference, line)
);

create trigger dip_series_is_history before update or delete or truncate on dip_series
    for each statement execute function refuse_change();
create trigger dip_is_history before update or delete or truncate on dip
    for each statement execute function refuse_change();
