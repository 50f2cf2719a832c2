-- +goose Up
-- Items, parcels, and a ledger whose every row is a move from one place to
-- another: two signed legs in one row, so that each parcel sums to zero by form.

create table item (
    id bigint generated always as identity constraint item_pkey primary key,
    code text not null constraint item_code_key unique
        constraint item_code_form check (code ~ '^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$'),
    name text not null,
    kind text not null constraint item_kind_known
        check (kind in ('blank', 'mordant', 'dyestuff', 'auxiliary', 'witness-cloth', 'solution')),
    unit text not null constraint item_unit_known check (unit in ('g', 'mL', 'pc')),
    style text not null default '',
    size text not null default '',
    piece_mass_ug bigint constraint item_piece_mass_positive check (piece_mass_ug > 0),
    substance text not null default '',
    plant text not null default '',
    part text not null default '',
    dye_family text not null default '',
    resolution bigint not null constraint item_resolution_positive check (resolution > 0),
    minimum bigint not null default 0 constraint item_minimum_not_negative check (minimum >= 0),
    pack bigint not null default 0 constraint item_pack_not_negative check (pack >= 0),
    supplier text not null default '',
    lead_days integer not null default 0 constraint item_lead_not_negative check (lead_days >= 0),
    created_at timestamptz not null,
    constraint item_blank_is_counted check ((kind = 'blank') = (unit = 'pc')),
    constraint item_blank_has_a_mass check (kind <> 'blank' or piece_mass_ug is not null)
);

create table item_fibre (
    item_id bigint not null constraint item_fibre_item_fkey references item,
    line smallint not null,
    fibre text not null,
    percent bigint not null constraint item_fibre_percent_range check (percent between 1 and 1000000),
    constraint item_fibre_pkey primary key (item_id, line),
    constraint item_fibre_once unique (item_id, fibre)
);

create table parcel (
    id bigint generated always as identity constraint parcel_pkey primary key,
    item_id bigint not null constraint parcel_item_fkey references item,
    origin text not null constraint parcel_origin_known check (origin in ('delivery', 'harvest', 'making')),
    supplier text not null default '',
    supplier_lot text not null default '',
    cost_micro bigint constraint parcel_cost_not_negative check (cost_micro >= 0),
    currency text,
    part text not null default '',
    place text not null default '',
    ripeness text not null default '',
    picked_on date,
    permission text not null default '',
    fresh_ug bigint constraint parcel_fresh_positive check (fresh_ug > 0),
    mg_per_l bigint constraint parcel_concentration_positive check (mg_per_l > 0),
    strength_unknown boolean not null default false,
    piece_mass_ug bigint constraint parcel_piece_mass_positive check (piece_mass_ug > 0),
    arrived_at timestamptz not null,
    usable_until date,
    note text not null default '',
    recorded_by bigint not null constraint parcel_principal_fkey references principal,
    recorded_at timestamptz not null,
    constraint parcel_cost_has_a_currency check ((cost_micro is null) = (currency is null)),
    constraint parcel_harvest_is_dated check (origin <> 'harvest' or picked_on is not null),
    constraint parcel_unknown_has_no_strength check (not strength_unknown or mg_per_l is null)
);
create index parcel_item_idx on parcel (item_id);

create table parcel_strength (
    id bigint generated always as identity constraint parcel_strength_pkey primary key,
    parcel_id bigint not null constraint parcel_strength_parcel_fkey references parcel,
    percent bigint not null constraint parcel_strength_positive check (percent > 0),
    basis text not null,
    measured_on date not null,
    recorded_by bigint not null constraint parcel_strength_principal_fkey references principal,
    recorded_at timestamptz not null
);
create index parcel_strength_parcel_idx on parcel_strength (parcel_id);

create table parcel_block (
    id bigint generated always as identity constraint parcel_block_pkey primary key,
    parcel_id bigint not null constraint parcel_block_parcel_fkey references parcel,
    lifted boolean not null,
    reason text not null,
    recorded_by bigint not null constraint parcel_block_principal_fkey references principal,
    recorded_at timestamptz not null
);
create index parcel_block_parcel_idx on parcel_block (parcel_id);

-- Kept by the triggers below from postings and promise entries; never written by hand.
create table balance (
    parcel_id bigint constraint balance_pkey primary key constraint balance_parcel_fkey references parcel,
    on_hand bigint not null default 0,
    reserved bigint not null default 0,
    constraint balance_not_short check (on_hand >= 0 and reserved >= 0 and reserved <= on_hand)
);

create table movement (
    id bigint generated always as identity constraint movement_pkey primary key,
    kind text not null constraint movement_kind_known
        check (kind in ('delivery', 'harvest', 'making', 'use', 'count', 'write-off', 'send-back', 'reversal')),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint movement_principal_fkey references principal,
    by_name text not null,
    reason text not null default '',
    -- What a 'use' was for: the stage record, or the issue of a lot's blanks.
    record_id bigint,
    lot_id bigint,
    -- The parcel that a 'making' made.
    made_parcel_id bigint constraint movement_made_parcel_fkey references parcel,
    reverses_id bigint constraint movement_reversed_once unique,
    reverses_kind text constraint movement_reversal_not_reversed check (reverses_kind <> 'reversal'),
    constraint movement_id_kind_key unique (id, kind),
    constraint movement_reverses_fkey foreign key (reverses_id, reverses_kind) references movement (id, kind),
    constraint movement_reversal_has_a_target check ((kind = 'reversal') = (reverses_id is not null and reverses_kind is not null)),
    constraint movement_use_has_a_purpose check ((kind = 'use') = (num_nonnulls(record_id, lot_id) = 1)),
    constraint movement_making_has_a_child check ((kind = 'making') = (made_parcel_id is not null))
);
create index movement_record_idx on movement (record_id) where record_id is not null;
create index movement_lot_idx on movement (lot_id) where lot_id is not null;
create index movement_made_parcel_idx on movement (made_parcel_id) where made_parcel_id is not null;

create table posting (
    movement_id bigint not null,
    kind text not null,
    line smallint not null,
    parcel_id bigint not null constraint posting_parcel_fkey references parcel,
    from_place text not null,
    to_place text not null,
    amount bigint not null constraint posting_amount_positive check (amount > 0),
    constraint posting_pkey primary key (movement_id, line),
    constraint posting_movement_fkey foreign key (movement_id, kind) references movement (id, kind),
    constraint posting_one_side_is_the_shelf check ((from_place = 'shelf') <> (to_place = 'shelf')),
    constraint posting_places_fit_the_kind check (
        case kind
            when 'delivery' then from_place = 'supplier'
            when 'harvest' then from_place = 'field'
            when 'making' then to_place = 'making' or from_place in ('making', 'difference')
            when 'use' then to_place = 'process' or from_place = 'difference'
            when 'count' then to_place = 'difference' or from_place = 'difference'
            when 'write-off' then to_place = 'loss'
            when 'send-back' then to_place = 'supplier'
            when 'reversal' then least(from_place, to_place) in ('difference', 'field', 'loss', 'making', 'process', 'shelf')
                             and greatest(from_place, to_place) in ('shelf', 'supplier')
        end)
);
create index posting_parcel_idx on posting (parcel_id);
-- A harvest is damp until it was booked from the field: few rows, asked often.
create index posting_field_idx on posting (parcel_id) where from_place = 'field' or to_place = 'field';
-- What was made of a parcel is looked for in every trace, among many uses.
create index posting_making_idx on posting (parcel_id) where to_place = 'making';

create table promise (
    id bigint generated always as identity constraint promise_pkey primary key,
    parcel_id bigint not null constraint promise_parcel_fkey references parcel,
    -- For a planned dose, for a lot's blanks and witness cloth, or by hand.
    dose_id bigint,
    lot_id bigint,
    purpose text not null default '',
    outstanding bigint not null default 0 constraint promise_not_overdrawn check (outstanding >= 0),
    made_by bigint not null constraint promise_principal_fkey references principal,
    made_at timestamptz not null,
    constraint promise_one_purpose check (num_nonnulls(dose_id, lot_id) <= 1)
);
create index promise_parcel_idx on promise (parcel_id);
create index promise_dose_idx on promise (dose_id) where dose_id is not null;
create index promise_lot_idx on promise (lot_id) where lot_id is not null;

create table promise_entry (
    id bigint generated always as identity constraint promise_entry_pkey primary key,
    promise_id bigint not null constraint promise_entry_promise_fkey references promise,
    delta bigint not null constraint promise_entry_moves check (delta <> 0),
    why text not null constraint promise_entry_why_known
        check (why in ('made', 'used', 'eaten', 'released', 'unused', 'restored')),
    at timestamptz not null,
    constraint promise_entry_only_making_adds check ((why in ('made', 'restored')) = (delta > 0))
);
create index promise_entry_promise_idx on promise_entry (promise_id);

-- +goose StatementBegin
create function open_balances() returns trigger language plpgsql as $$
begin
    insert into balance (parcel_id) select id from fresh;
    return null;
end $$;
-- +goose StatementEnd
create trigger parcel_opens_balance after insert on parcel
    referencing new table as fresh for each statement execute function open_balances();

-- One check a statement, not a row: a bulk load pays once. Rows are touched in
-- id order, so two loads cannot wait for each other.
-- +goose StatementBegin
create function post_to_balances() returns trigger language plpgsql as $$
begin
    if exists (
        select 1
        from (select m.id, m.reverses_id from fresh f join movement m on m.id = f.movement_id where f.kind = 'reversal'
              union
              -- a leg added later to a movement that was reversed already
              select m.id, m.reverses_id from fresh f join movement m on m.reverses_id = f.movement_id) r
        cross join lateral (
            (select parcel_id, from_place, to_place, sum(amount) from posting where movement_id = r.id group by 1, 2, 3
             except select parcel_id, to_place, from_place, sum(amount) from posting where movement_id = r.reverses_id group by 1, 2, 3)
            union all
            (select parcel_id, to_place, from_place, sum(amount) from posting where movement_id = r.reverses_id group by 1, 2, 3
             except select parcel_id, from_place, to_place, sum(amount) from posting where movement_id = r.id group by 1, 2, 3)
        ) odd) then
        raise exception 'a reversal mirrors its movement leg by leg'
            using errcode = 'check_violation', constraint = 'posting_reversal_is_the_mirror';
    end if;
    perform 1 from balance where parcel_id in (select parcel_id from fresh) order by parcel_id for update;
    update balance b set on_hand = b.on_hand + d.delta
    from (select parcel_id, sum(case when to_place = 'shelf' then amount else -amount end) as delta from fresh group by parcel_id) d
    where b.parcel_id = d.parcel_id and d.delta <> 0;
    return null;
end $$;
-- +goose StatementEnd
create trigger posting_keeps_balance after insert on posting
    referencing new table as fresh for each statement execute function post_to_balances();

-- +goose StatementBegin
create function promise_to_balances() returns trigger language plpgsql as $$
begin
    perform 1 from balance where parcel_id in (select p.parcel_id from fresh f join promise p on p.id = f.promise_id)
        order by parcel_id for update;
    update promise p set outstanding = p.outstanding + d.delta
    from (select promise_id, sum(delta) as delta from fresh group by promise_id) d
    where p.id = d.promise_id;
    update balance b set reserved = b.reserved + d.delta
    from (select p.parcel_id, sum(f.delta) as delta from fresh f join promise p on p.id = f.promise_id group by p.parcel_id) d
    where b.parcel_id = d.parcel_id and d.delta <> 0;
    return null;
end $$;
-- +goose StatementEnd
create trigger promise_entry_keeps_balance after insert on promise_entry
    referencing new table as fresh for each statement execute function promise_to_balances();

-- What the triggers above keep is theirs alone: a statement that a person writes
-- has depth 1, a trigger's has 2.
-- +goose StatementBegin
create function refuse_by_hand() returns trigger language plpgsql as $$
begin
    if pg_trigger_depth() < 2 then
        raise exception '% is kept by postings and promise entries, never written by hand', tg_table_name
            using errcode = 'restrict_violation', constraint = 'kept_by_the_ledger';
    end if;
    return null;
end $$;
-- +goose StatementEnd
create trigger balance_is_kept before insert or update or delete or truncate on balance
    for each statement execute function refuse_by_hand();
create trigger promise_outstanding_is_kept before update of outstanding on promise
    for each statement execute function refuse_by_hand();
-- +goose StatementBegin
create function start_empty() returns trigger language plpgsql as $$
begin
    if exists (select 1 from fresh where outstanding <> 0) then
        raise exception 'a promise starts with nothing: its entries fill it'
            using errcode = 'restrict_violation', constraint = 'kept_by_the_ledger';
    end if;
    return null;
end $$;
-- +goose StatementEnd
create trigger promise_starts_empty after insert on promise
    referencing new table as fresh for each statement execute function start_empty();
create trigger promise_is_history before update of id, parcel_id, dose_id, lot_id, purpose, made_by, made_at or delete or truncate on promise
    for each statement execute function refuse_change();

create trigger movement_is_history before update or delete or truncate on movement
    for each statement execute function refuse_change();
create trigger posting_is_history before update or delete or truncate on posting
    for each statement execute function refuse_change();
create trigger promise_entry_is_history before update or delete or truncate on promise_entry
    for each statement execute function refuse_change();
create trigger parcel_is_history before update or delete or truncate on parcel
    for each statement execute function refuse_change();
create trigger parcel_strength_is_history before update or delete or truncate on parcel_strength
    for each statement execute function refuse_change();
create trigger parcel_block_is_history before update or delete or truncate on parcel_block
    for each statement execute function refuse_change();
