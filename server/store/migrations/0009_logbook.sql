-- +goose Up
-- What was put right, what was counted and when, and the small books.

-- A correction is a new record that points at the old one.
alter table stage_record
    add column corrects_id bigint
        constraint stage_record_corrects_fkey references stage_record
        constraint stage_record_corrected_once unique,
    add constraint stage_record_corrects_an_older check (corrects_id < id);

create table shelf_count (
    id bigint generated always as identity constraint shelf_count_pkey primary key,
    parcel_id bigint not null constraint shelf_count_parcel_fkey references parcel,
    -- What was found, what the book held at that moment, and the movement that
    -- set it right; none where the book was right.
    counted bigint not null constraint shelf_count_not_negative check (counted >= 0),
    book bigint not null,
    movement_id bigint constraint shelf_count_movement_fkey references movement constraint shelf_count_movement_key unique,
    reason text not null default '',
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint shelf_count_principal_fkey references principal
);
create index shelf_count_parcel_idx on shelf_count (parcel_id, happened_at desc);

-- Counts from before this table: each was of the book as it then stood.
insert into shelf_count (parcel_id, counted, book, movement_id, reason, by_name, happened_at, recorded_at, recorded_by)
select s.parcel_id, s.after, s.after - s.delta, m.id, m.reason, m.by_name, m.happened_at, m.recorded_at, m.recorded_by
from (select movement_id, kind, parcel_id, case when to_place = 'shelf' then amount else -amount end as delta,
             sum(case when to_place = 'shelf' then amount else -amount end) over (partition by parcel_id order by movement_id, line) as after
      from posting) s
join movement m on m.id = s.movement_id
where s.kind = 'count' order by m.id;

create table log_entry (
    id bigint generated always as identity constraint log_entry_pkey primary key,
    book text not null constraint log_entry_book_known check (book in ('water', 'scale', 'buffer', 'accident', 'near-miss')),
    subject text not null default '',
    happened_at timestamptz not null,
    by_name text not null,
    note text not null default '',
    -- Ten-thousandths of a German degree; 0.1 µg of iron a litre.
    hardness bigint constraint log_entry_hardness_range check (hardness between 0 and 2000000),
    iron bigint constraint log_entry_iron_range check (iron between 0 and 10000000),
    check_ug bigint constraint log_entry_check_mass_positive check (check_ug > 0),
    read_ug bigint constraint log_entry_read_not_negative check (read_ug >= 0),
    resolution_ug bigint constraint log_entry_resolution_positive check (resolution_ug > 0),
    -- Hundredths.
    buffer_ph integer constraint log_entry_buffer_range check (buffer_ph between 0 and 1400),
    read_ph integer constraint log_entry_read_range check (read_ph between 0 and 1400),
    what text not null default '',
    stage text not null default '',
    done text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint log_entry_principal_fkey references principal,
    constraint log_entry_fits_its_book check (
        case book
            when 'water' then subject <> '' and num_nonnulls(hardness, iron) >= 1
            when 'scale' then subject <> '' and num_nonnulls(check_ug, read_ug, resolution_ug) = 3
            when 'buffer' then subject <> '' and num_nonnulls(buffer_ph, read_ph) = 2
            else what <> ''
        end)
);
create index log_entry_subject_idx on log_entry (book, subject, happened_at desc);

-- The newest row of a book and subject is in force; an empty subject is for all
-- of the book.
create table log_interval (
    id bigint generated always as identity constraint log_interval_pkey primary key,
    book text not null constraint log_interval_book_known check (book in ('water', 'scale', 'buffer')),
    subject text not null,
    days integer not null constraint log_interval_days_range check (days between 0 and 3660),
    set_at timestamptz not null,
    set_by bigint not null constraint log_interval_principal_fkey references principal
);
create index log_interval_subject_idx on log_interval (book, subject, id desc);

create table evidence_withdrawn (
    id bigint generated always as identity constraint evidence_withdrawn_pkey primary key,
    reading_id bigint constraint evidence_withdrawn_reading_fkey references reading constraint evidence_withdrawn_reading_once unique,
    test_id bigint constraint evidence_withdrawn_test_fkey references fastness_test constraint evidence_withdrawn_test_once unique,
    log_entry_id bigint constraint evidence_withdrawn_log_entry_fkey references log_entry constraint evidence_withdrawn_log_entry_once unique,
    reason text not null constraint evidence_withdrawn_has_a_reason check (reason <> ''),
    by_name text not null constraint evidence_withdrawn_has_a_name check (by_name <> ''),
    at timestamptz not null,
    recorded_by bigint not null constraint evidence_withdrawn_principal_fkey references principal,
    constraint evidence_withdrawn_of_one_thing check (num_nonnulls(reading_id, test_id, log_entry_id) = 1)
);

create trigger shelf_count_is_history before update or delete or truncate on shelf_count
    for each statement execute function refuse_change();
create trigger log_entry_is_history before update or delete or truncate on log_entry
    for each statement execute function refuse_change();
create trigger log_interval_is_history before update or delete or truncate on log_interval
    for each statement execute function refuse_change();
create trigger evidence_withdrawn_is_history before update or delete or truncate on evidence_withdrawn
    for each statement execute function refuse_change();
