-- +goose Up
-- Runs, the lots they become, garments, and what was done at the pot.

create table run (
    id bigint generated always as identity constraint run_pkey primary key,
    colourway_id bigint not null constraint run_colourway_fkey references colourway,
    version_id bigint not null constraint run_version_fkey references recipe_version,
    standard_id bigint not null constraint run_standard_fkey references shade_standard,
    matched_set boolean not null,
    due_on date,
    note text not null default '',
    planned_by bigint not null constraint run_principal_fkey references principal,
    planned_at timestamptz not null,
    cancelled_at timestamptz,
    cancel_reason text not null default ''
);

create table lot (
    id bigint generated always as identity constraint lot_pkey primary key,
    run_id bigint not null constraint lot_run_fkey references run,
    vessel_id bigint not null constraint lot_vessel_fkey references vessel,
    state text not null constraint lot_state_known check (state in
        ('planned', 'in-work', 'waiting-for-tests', 'held', 'passed', 'imperfect', 're-dye', 'scrapped', 'closed', 'cancelled')),
    garment_ug bigint not null constraint lot_garments_weigh check (garment_ug > 0),
    witness_ug bigint not null constraint lot_witness_not_negative check (witness_ug >= 0),
    witness_parcel_id bigint constraint lot_witness_parcel_fkey references parcel,
    bath_ul bigint not null constraint lot_bath_positive check (bath_ul > 0),
    issued_at timestamptz
);
create index lot_run_idx on lot (run_id);
create index lot_state_idx on lot (state);
alter table movement add constraint movement_lot_fkey foreign key (lot_id) references lot;
alter table promise add constraint promise_lot_fkey foreign key (lot_id) references lot;

create table lot_event (
    id bigint generated always as identity constraint lot_event_pkey primary key,
    lot_id bigint not null constraint lot_event_lot_fkey references lot,
    state text not null,
    at timestamptz not null,
    recorded_by bigint not null constraint lot_event_principal_fkey references principal
);
create index lot_event_lot_idx on lot_event (lot_id);

-- Serials start where a tag has four characters and its check character.
create sequence garment_serial start 32768;

create table garment (
    id bigint generated always as identity constraint garment_pkey primary key,
    serial bigint not null constraint garment_serial_key unique,
    tag text not null constraint garment_tag_key unique,
    lot_id bigint not null constraint garment_lot_fkey references lot,
    parcel_id bigint not null constraint garment_parcel_fkey references parcel,
    dry_ug bigint not null constraint garment_weighs check (dry_ug > 0),
    place text not null constraint garment_place_known
        check (place in ('planned', 'in-work', 'shelf', 'sold', 'returned', 'scrapped', 'cancelled')),
    -- The verdict on this very garment, where it differs from its lot's.
    outcome text,
    order_ref text not null default ''
);
create index garment_lot_idx on garment (lot_id);
create index garment_parcel_idx on garment (parcel_id);
create index garment_order_idx on garment (order_ref) where order_ref <> '';

create table garment_event (
    id bigint generated always as identity constraint garment_event_pkey primary key,
    garment_id bigint not null constraint garment_event_garment_fkey references garment,
    kind text not null,
    lot_id bigint not null constraint garment_event_lot_fkey references lot,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint garment_event_principal_fkey references principal,
    by_name text not null,
    order_ref text not null default '',
    text text not null default ''
);
create index garment_event_garment_idx on garment_event (garment_id);
-- Which garments a lot ever had: one row for each, written when it is issued.
create index garment_event_issued_idx on garment_event (lot_id) where kind = 'issued';

-- One bath as planned: a shared one serves several lots.
create table planned_stage (
    id bigint generated always as identity constraint planned_stage_pkey primary key,
    run_id bigint not null constraint planned_stage_run_fkey references run,
    position integer not null,
    kind text not null,
    shared boolean not null,
    vessel_id bigint constraint planned_stage_vessel_fkey references vessel,
    fibre_ug bigint not null,
    bath_ul bigint not null,
    celsius integer not null,
    minutes integer not null,
    ph_low integer,
    ph_high integer,
    note text not null default ''
);
create index planned_stage_run_idx on planned_stage (run_id, position);

create table planned_stage_lot (
    stage_id bigint not null constraint planned_stage_lot_stage_fkey references planned_stage,
    lot_id bigint not null constraint planned_stage_lot_lot_fkey references lot,
    fibre_ug bigint not null constraint planned_stage_lot_weighs check (fibre_ug > 0),
    constraint planned_stage_lot_pkey primary key (stage_id, lot_id)
);
create index planned_stage_lot_lot_idx on planned_stage_lot (lot_id);

create table planned_dose (
    id bigint generated always as identity constraint planned_dose_pkey primary key,
    stage_id bigint not null constraint planned_dose_stage_fkey references planned_stage,
    line smallint not null,
    item_id bigint not null constraint planned_dose_item_fkey references item,
    basis text not null,
    value bigint not null,
    -- In the item's unit, by the strength of the parcel picked.
    amount bigint not null constraint planned_dose_positive check (amount > 0),
    constraint planned_dose_once unique (stage_id, line)
);
alter table promise add constraint promise_dose_fkey foreign key (dose_id) references planned_dose;

create table bath (
    id bigint generated always as identity constraint bath_pkey primary key,
    vessel_id bigint constraint bath_vessel_fkey references vessel,
    kind text not null,
    opened_at timestamptz not null
);

create table stage_record (
    id bigint generated always as identity constraint stage_record_pkey primary key,
    run_id bigint not null constraint stage_record_run_fkey references run,
    position integer not null,
    kind text not null,
    bath_id bigint constraint stage_record_bath_fkey references bath,
    bath_use smallint not null default 1,
    vessel_id bigint constraint stage_record_vessel_fkey references vessel,
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint stage_record_principal_fkey references principal,
    started_at timestamptz,
    finished_at timestamptz,
    celsius integer not null default 0,
    minutes integer not null default 0,
    ph integer,
    bath_ul bigint not null default 0,
    note text not null default '',
    skipped boolean not null default false,
    reason text not null default '',
    override_by text not null default '',
    override_reason text not null default '',
    constraint stage_record_ends_after_it_starts check (finished_at >= started_at),
    constraint stage_record_skip_has_a_reason check (not skipped or reason <> '')
);
create index stage_record_run_idx on stage_record (run_id, position);
create index stage_record_bath_idx on stage_record (bath_id, bath_use);
alter table movement add constraint movement_record_fkey foreign key (record_id) references stage_record;

create table record_lot (
    record_id bigint not null constraint record_lot_record_fkey references stage_record,
    lot_id bigint not null constraint record_lot_lot_fkey references lot,
    fibre_ug bigint not null constraint record_lot_weighs check (fibre_ug > 0),
    constraint record_lot_pkey primary key (record_id, lot_id)
);
create index record_lot_lot_idx on record_lot (lot_id);

create table record_undone (
    record_id bigint constraint record_undone_pkey primary key constraint record_undone_record_fkey references stage_record,
    at timestamptz not null,
    undone_by bigint not null constraint record_undone_principal_fkey references principal,
    reason text not null
);

create table deviation (
    record_id bigint not null constraint deviation_record_fkey references stage_record,
    line smallint not null,
    key text not null,
    planned text not null,
    actual text not null,
    text text not null,
    reason text not null default '',
    constraint deviation_pkey primary key (record_id, line)
);

create trigger lot_event_is_history before update or delete or truncate on lot_event
    for each statement execute function refuse_change();
create trigger garment_event_is_history before update or delete or truncate on garment_event
    for each statement execute function refuse_change();
create trigger stage_record_is_history before update or delete or truncate on stage_record
    for each statement execute function refuse_change();
create trigger record_lot_is_history before update or delete or truncate on record_lot
    for each statement execute function refuse_change();
create trigger record_undone_is_history before update or delete or truncate on record_undone
    for each statement execute function refuse_change();
create trigger deviation_is_history before update or delete or truncate on deviation
    for each statement execute function refuse_change();
