-- +goose Up
-- What is changed because garments came back, and when that was done.

create table action (
    id bigint generated always as identity constraint action_pkey primary key,
    -- One of three: a version of a recipe, parcels that are blocked, or a method.
    version_id bigint constraint action_version_fkey references recipe_version,
    blocks boolean not null,
    -- Of the supplier's lot that was blocked, where one was named.
    supplier text not null default '',
    supplier_lot text not null default '',
    method text not null default '',
    because text not null constraint action_has_a_reason check (because <> ''),
    by_name text not null constraint action_has_a_name check (by_name <> ''),
    due_on date not null,
    -- The studio's day.
    recorded_on date not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint action_principal_fkey references principal,
    constraint action_changes_one_thing check (CAST(version_id is not null as integer) + CAST(blocks as integer) + CAST(method <> '' as integer) = 1),
    constraint action_lot_is_blocked check (blocks or supplier_lot = ''),
    constraint action_due_after_it_is_recorded check (due_on >= recorded_on)
);
create index action_version_idx on action (version_id) where version_id is not null;
create index action_due_idx on action (due_on);

create table action_parcel (
    action_id bigint not null constraint action_parcel_action_fkey references action,
    parcel_id bigint not null constraint action_parcel_parcel_fkey references parcel,
    constraint action_parcel_pkey primary key (action_id, parcel_id)
);
create index action_parcel_parcel_idx on action_parcel (parcel_id);

create table action_return (
    action_id bigint not null constraint action_return_action_fkey references action,
    garment_id bigint not null constraint action_return_garment_fkey references garment,
    constraint action_return_pkey primary key (action_id, garment_id)
);
create index action_return_garment_idx on action_return (garment_id);

-- It is open until a row stands here.
create table action_done (
    action_id bigint constraint action_done_pkey primary key constraint action_done_action_fkey references action,
    done_on date not null,
    found text not null constraint action_done_has_a_finding check (found <> ''),
    by_name text not null constraint action_done_has_a_name check (by_name <> ''),
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint action_done_principal_fkey references principal
);

create trigger action_is_history before update or delete or truncate on action
    for each statement execute function refuse_change();
create trigger action_parcel_is_history before update or delete or truncate on action_parcel
    for each statement execute function refuse_change();
create trigger action_return_is_history before update or delete or truncate on action_return
    for each statement execute function refuse_change();
create trigger action_done_is_history before update or delete or truncate on action_done
    for each statement execute function refuse_change();

-- What left the house and what came back, in a period; whose stages fell into one.
create index garment_event_kind_idx on garment_event (kind, happened_at);
create index stage_record_happened_idx on stage_record (happened_at);
