-- +goose Up
-- Where the rows of an opening import came from: its sheets by their SHA-256, so
-- that one is not taken in twice unasked, and the words by which the old
-- sheets called a parcel or a lot.

create table opening_import (
    id bigint generated always as identity constraint opening_import_pkey primary key,
    items integer not null constraint opening_import_items_not_negative check (items >= 0),
    parcels integer not null constraint opening_import_parcels_not_negative check (parcels >= 0),
    lots integer not null constraint opening_import_lots_not_negative check (lots >= 0),
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint opening_import_principal_fkey references principal
);

create table opening_sheet (
    import_id bigint not null constraint opening_sheet_import_fkey references opening_import,
    kind text not null constraint opening_sheet_kind_known check (kind in ('items', 'parcels', 'lots')),
    name text not null,
    sha256 bytea not null constraint opening_sheet_is_a_hash check (length(sha256) = 32),
    constraint opening_sheet_pkey primary key (import_id, kind)
);
create index opening_sheet_sha256_idx on opening_sheet (sha256);

-- ref is lower case and its spaces are single; empty where the sheet had none.
create table opening_parcel (
    parcel_id bigint constraint opening_parcel_pkey primary key constraint opening_parcel_parcel_fkey references parcel,
    import_id bigint not null constraint opening_parcel_import_fkey references opening_import,
    ref text not null
);
create index opening_parcel_import_idx on opening_parcel (import_id);
create index opening_parcel_ref_idx on opening_parcel (ref) where ref <> '';

create table opening_lot (
    lot_id bigint constraint opening_lot_pkey primary key constraint opening_lot_lot_fkey references lot,
    import_id bigint not null constraint opening_lot_import_fkey references opening_import,
    ref text not null
);
create index opening_lot_import_idx on opening_lot (import_id);
create index opening_lot_ref_idx on opening_lot (ref) where ref <> '';

-- A bag that comes twice is looked for by the lot printed on it.
create index parcel_supplier_lot_idx on parcel (lower(supplier_lot)) where supplier_lot <> '';

create trigger opening_import_is_history before update or delete or truncate on opening_import
    for each statement execute function refuse_change();
create trigger opening_sheet_is_history before update or delete or truncate on opening_sheet
    for each statement execute function refuse_change();
create trigger opening_parcel_is_history before update or delete or truncate on opening_parcel
    for each statement execute function refuse_change();
create trigger opening_lot_is_history before update or delete or truncate on opening_lot
    for each statement execute function refuse_change();
