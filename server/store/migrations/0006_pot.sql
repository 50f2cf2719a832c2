-- +goose Up
-- What goes on at a pot beyond the plan: additions, baths that are kept and used
-- again, vats with a diary, brews measured in litres.

-- An addition is a record of its own in the same bath and use as the record that
-- it adds to.
alter table stage_record
    add column addition_to bigint constraint stage_record_addition_fkey references stage_record,
    add column look_before text not null default '',
    add column look_after text not null default '';
create index stage_record_addition_idx on stage_record (addition_to) where addition_to is not null;

-- Dips and airings, counted for the whole lot, or for single garments: rows of
-- one line belong to one group.
create table record_dip (
    record_id bigint not null constraint record_dip_record_fkey references stage_record,
    line smallint not null,
    garment_id bigint constraint record_dip_garment_fkey references garment,
    dips integer not null constraint record_dip_counted check (dips between 1 and 1000),
    airings integer not null constraint record_dip_aired check (airings between 0 and 1000),
    constraint record_dip_once unique nulls not distinct (record_id, garment_id)
);

-- The liquor of a brew goes on into the dye baths of its lots, and with it
-- whatever is traced through a later use of those.
create table brew_share (
    brew_id bigint not null constraint brew_share_brew_fkey references stage_record,
    dye_id bigint not null constraint brew_share_dye_fkey references stage_record,
    constraint brew_share_pkey primary key (brew_id, dye_id)
);
create index brew_share_dye_idx on brew_share (dye_id);
insert into brew_share (brew_id, dye_id)
select distinct b.id, d.id
from stage_record b join record_lot lb on lb.record_id = b.id
join record_lot ld on ld.lot_id = lb.lot_id join stage_record d on d.id = ld.record_id
where b.kind = 'brew' and not b.skipped and d.kind in ('dye', 'vat-dip') and not d.skipped and d.run_id = b.run_id and d.position > b.position;

-- The fibre that a vat is meant for, where it is meant for one.
alter table bath add column fibre text not null default '';

-- The diary of a bath. after_use counts the uses that were over by then: what an
-- entry fed is in every later use, and in none before.
create table bath_entry (
    id bigint generated always as identity constraint bath_entry_pkey primary key,
    bath_id bigint not null constraint bath_entry_bath_fkey references bath,
    kind text not null constraint bath_entry_kind_known check (kind in ('set', 'kept', 'top-up', 'note', 'spent')),
    after_use smallint not null constraint bath_entry_use_not_negative check (after_use >= 0),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint bath_entry_principal_fkey references principal,
    by_name text not null,
    litres_ul bigint constraint bath_entry_litres_not_negative check (litres_ul >= 0),
    ph integer,
    celsius integer not null default 0,
    route text not null default '',
    note text not null default '',
    constraint bath_entry_spent_has_a_route check (kind <> 'spent' or (route <> '' and litres_ul is not null))
);
create index bath_entry_bath_idx on bath_entry (bath_id, after_use);

create table bath_entry_undone (
    entry_id bigint constraint bath_entry_undone_pkey primary key constraint bath_entry_undone_entry_fkey references bath_entry,
    at timestamptz not null,
    undone_by bigint not null constraint bath_entry_undone_principal_fkey references principal,
    reason text not null
);

alter table movement
    add column entry_id bigint constraint movement_entry_fkey references bath_entry,
    drop constraint movement_use_has_a_purpose,
    add constraint movement_use_has_a_purpose check ((kind = 'use') = (num_nonnulls(record_id, lot_id, entry_id) = 1));
create index movement_entry_idx on movement (entry_id) where entry_id is not null;

create trigger record_dip_is_history before update or delete or truncate on record_dip
    for each statement execute function refuse_change();
create trigger brew_share_is_history before update or delete or truncate on brew_share
    for each statement execute function refuse_change();
create trigger bath_entry_is_history before update or delete or truncate on bath_entry
    for each statement execute function refuse_change();
create trigger bath_entry_undone_is_history before update or delete or truncate on bath_entry_undone
    for each statement execute function refuse_change();
