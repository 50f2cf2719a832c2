-- +goose Up
-- What an hour, a pot-day and a test cost, and who worked how long at what.

-- The newest row of a kind and subject that is in force on a day counts. The
-- subject is a vessel's, method's, stage kind's or item's code; empty: all.
create table cost_rate (
    id bigint generated always as identity constraint cost_rate_pkey primary key,
    kind text not null constraint cost_rate_kind_known check (kind in ('labour', 'pot-day', 'test', 'normal-loss', 'pooled')),
    subject text not null default '',
    money_micro bigint constraint cost_rate_not_negative check (money_micro >= 0),
    currency text constraint cost_rate_currency_code check (currency ~ '^[A-Z]{3}$'),
    percent bigint constraint cost_rate_percent_range check (percent between 0 and 500000),
    switched_on boolean,
    from_on date not null,
    note text not null default '',
    set_at timestamptz not null,
    set_by bigint not null constraint cost_rate_principal_fkey references principal,
    constraint cost_rate_money_has_a_currency check ((money_micro is null) = (currency is null)),
    constraint cost_rate_one_value check (num_nonnulls(money_micro, percent, switched_on) = 1),
    constraint cost_rate_value_fits_the_kind check (
        case kind when 'normal-loss' then percent is not null when 'pooled' then switched_on is not null else money_micro is not null end)
);

-- Minutes of work at a lot, a stage record or a harvest. A wrong entry is put
-- right by one of less than zero; the sum never falls below it.
create table cost_labour (
    id bigint generated always as identity constraint cost_labour_pkey primary key,
    lot_id bigint constraint cost_labour_lot_fkey references lot,
    record_id bigint constraint cost_labour_record_fkey references stage_record,
    parcel_id bigint constraint cost_labour_parcel_fkey references parcel,
    minutes integer not null constraint cost_labour_some check (minutes <> 0 and minutes between -100000 and 100000),
    worked_on date not null,
    by_name text not null,
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint cost_labour_principal_fkey references principal,
    constraint cost_labour_of_one_thing check (num_nonnulls(lot_id, record_id, parcel_id) = 1),
    constraint cost_labour_less_has_a_reason check (minutes > 0 or note <> '')
);
create index cost_labour_lot_idx on cost_labour (lot_id) where lot_id is not null;
create index cost_labour_record_idx on cost_labour (record_id) where record_id is not null;
create index cost_labour_parcel_idx on cost_labour (parcel_id) where parcel_id is not null;

-- Who else was in a vessel on a day shares that pot-day.
create index stage_record_vessel_idx on stage_record (vessel_id, happened_at) where vessel_id is not null;

-- What-if begins with a colourway's newest run, and asks how a version wore.
create index run_newest_of_colourway_idx on run (colourway_id, id desc);
create index run_of_version_idx on run (version_id);

create trigger cost_rate_is_history before update or delete or truncate on cost_rate
    for each statement execute function refuse_change();
create trigger cost_labour_is_history before update or delete or truncate on cost_labour
    for each statement execute function refuse_change();
