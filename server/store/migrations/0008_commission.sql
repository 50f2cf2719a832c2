-- +goose Up
-- Commissions, the customer's own garments, blends sampled, blanks on arrival.

-- Whose it is is kept elsewhere: a reference is the order's own.
create table commission (
    id bigint generated always as identity constraint commission_pkey primary key,
    reference text not null constraint commission_reference_key unique
        constraint commission_reference_form check (reference ~ '^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$'),
    colourway_id bigint not null constraint commission_colourway_fkey references colourway,
    -- Thousandths of a CIEDE2000 unit, as agreed.
    set_tolerance bigint not null constraint commission_set_tolerance_positive check (set_tolerance > 0),
    due_on date,
    spares integer not null constraint commission_spares_not_negative check (spares >= 0),
    note text not null default '',
    agreed_at timestamptz not null,
    recorded_by bigint not null constraint commission_principal_fkey references principal
);

create table commission_piece (
    commission_id bigint not null constraint commission_piece_commission_fkey references commission,
    item_id bigint not null constraint commission_piece_item_fkey references item,
    line smallint not null,
    pieces integer not null constraint commission_piece_asks_some check (pieces > 0),
    might_not_take text not null default '',
    constraint commission_piece_pkey primary key (commission_id, item_id)
);

-- The newest is in force; the earlier ones stay readable.
create table commission_sign_off (
    id bigint generated always as identity constraint commission_sign_off_pkey primary key,
    commission_id bigint not null constraint commission_sign_off_commission_fkey references commission,
    reading_id bigint constraint commission_sign_off_reading_fkey references reading,
    lot_id bigint constraint commission_sign_off_lot_fkey references lot,
    standard_id bigint constraint commission_sign_off_standard_fkey references shade_standard,
    signed_on date not null,
    -- A word, such as conductor; never a name.
    by_role text not null constraint commission_sign_off_role_is_a_word check (by_role ~ '^[a-z][a-z-]{0,39}$'),
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint commission_sign_off_principal_fkey references principal,
    constraint commission_sign_off_one_swatch check (num_nonnulls(reading_id, lot_id, standard_id) = 1)
);
create index commission_sign_off_commission_idx on commission_sign_off (commission_id);

alter table run add column commission_id bigint constraint run_commission_fkey references commission,
    add constraint run_commission_is_a_set check (commission_id is null or matched_set);
create index run_commission_idx on run (commission_id) where commission_id is not null;

-- A customer's garments lie on the shelf like any parcel, and have no price.
alter table parcel add column commission_id bigint constraint parcel_commission_fkey references commission,
    add column might_not_take text not null default '',
    add constraint parcel_customers_have_a_commission check ((origin = 'customer') = (commission_id is not null)),
    add constraint parcel_customers_are_never_valued check (commission_id is null or cost_micro is null);
create index parcel_commission_idx on parcel (commission_id) where commission_id is not null;

-- The words that other files gave these checks stay; a few join them.
-- +goose StatementBegin
do $$
declare
    was text;
begin
    select pg_get_expr(conbin, conrelid) into strict was from pg_constraint where conname = 'parcel_origin_known';
    alter table parcel drop constraint parcel_origin_known;
    execute format('alter table parcel add constraint parcel_origin_known check ((%s) or origin = ''customer'')', was);

    select pg_get_expr(conbin, conrelid) into strict was from pg_constraint where conname = 'movement_kind_known';
    alter table movement drop constraint movement_kind_known;
    execute format('alter table movement add constraint movement_kind_known check ((%s) or kind in (''taken-in'', ''given-back''))', was);

    select pg_get_expr(conbin, conrelid) into strict was from pg_constraint where conname = 'posting_places_fit_the_kind';
    alter table posting drop constraint posting_places_fit_the_kind;
    execute format('alter table posting add constraint posting_places_fit_the_kind check (
        case
            when kind = ''taken-in'' then from_place = ''customer''
            when kind = ''given-back'' then to_place = ''customer''
            when kind = ''reversal'' and ''customer'' in (from_place, to_place) then true
            else (%s)
        end)', was);

    select pg_get_expr(conbin, conrelid) into strict was from pg_constraint where conname = 'garment_place_known';
    alter table garment drop constraint garment_place_known;
    execute format('alter table garment add constraint garment_place_known check ((%s) or place = ''given-back'')', was);
end $$;
-- +goose StatementEnd

-- A blend of harvests that a swatch was dyed with.
create table parcel_sample (
    id bigint generated always as identity constraint parcel_sample_pkey primary key,
    parcel_id bigint not null constraint parcel_sample_parcel_fkey references parcel,
    lot_id bigint constraint parcel_sample_lot_fkey references lot,
    reading_id bigint constraint parcel_sample_reading_fkey references reading,
    note text not null default '',
    sampled_on date not null,
    by_name text not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint parcel_sample_principal_fkey references principal,
    constraint parcel_sample_has_evidence check (lot_id is not null or reading_id is not null or note <> '')
);
create index parcel_sample_parcel_idx on parcel_sample (parcel_id);

-- Null and empty: this check does not say. A later check goes before an
-- earlier one in what it says.
create table arrival_check (
    id bigint generated always as identity constraint arrival_check_pkey primary key,
    parcel_id bigint not null constraint arrival_check_parcel_fkey references parcel,
    -- Millimetres.
    before_length_mm integer constraint arrival_check_before_length_positive check (before_length_mm > 0),
    before_width_mm integer constraint arrival_check_before_width_positive check (before_width_mm > 0),
    after_length_mm integer constraint arrival_check_after_length_positive check (after_length_mm > 0),
    after_width_mm integer constraint arrival_check_after_width_positive check (after_width_mm > 0),
    drop_seconds integer constraint arrival_check_drop_not_negative check (drop_seconds >= 0),
    brightener text not null constraint arrival_check_brightener_known check (brightener in ('', 'no', 'yes')),
    thread text not null,
    buttons text not null,
    cut_off text not null,
    verdict text not null constraint arrival_check_verdict_known check (verdict in ('', 'accept', 'reject')),
    note text not null,
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint arrival_check_principal_fkey references principal,
    constraint arrival_check_before_is_whole check ((before_length_mm is null) = (before_width_mm is null)),
    constraint arrival_check_after_is_whole check ((after_length_mm is null) = (after_width_mm is null))
);
create index arrival_check_parcel_idx on arrival_check (parcel_id);

create trigger commission_is_history before update or delete or truncate on commission
    for each statement execute function refuse_change();
create trigger commission_piece_is_history before update or delete or truncate on commission_piece
    for each statement execute function refuse_change();
create trigger commission_sign_off_is_history before update or delete or truncate on commission_sign_off
    for each statement execute function refuse_change();
create trigger parcel_sample_is_history before update or delete or truncate on parcel_sample
    for each statement execute function refuse_change();
create trigger arrival_check_is_history before update or delete or truncate on arrival_check
    for each statement execute function refuse_change();
