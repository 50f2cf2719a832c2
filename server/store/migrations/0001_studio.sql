-- +goose Up
-- The studio, who may do what, what was asked before, and what was done.

create table studio (
    single boolean constraint studio_pkey primary key default true constraint studio_only_one check (single),
    name text not null,
    time_zone text not null,
    currency text not null constraint studio_currency_code check (currency ~ '^[A-Z]{3}$'),
    poison_centre text not null default '',
    created_at timestamptz not null default now()
);
insert into studio (name, time_zone, currency) values ('Studio', 'UTC', 'EUR');

create table principal (
    id bigint generated always as identity constraint principal_pkey primary key,
    name text not null constraint principal_name_key unique,
    roles text[] not null constraint principal_some_role check (cardinality(roles) > 0),
    token_sha256 bytea not null constraint principal_token_key unique
        constraint principal_token_is_a_hash check (length(token_sha256) = 32),
    created_at timestamptz not null,
    expires_at timestamptz,
    revoked_at timestamptz
);

-- Law 7. The answer is kept, a refusal is not.
create table request_ledger (
    principal_id bigint not null constraint request_ledger_principal_fkey references principal,
    method text not null,
    request_id text not null,
    body_sha256 bytea not null,
    answer bytea not null,
    at timestamptz not null,
    constraint request_ledger_pkey primary key (principal_id, method, request_id)
);
create index request_ledger_at_idx on request_ledger (at);

-- The transaction id lets a sealer know which rows can no longer be joined by
-- earlier ones: all below pg_snapshot_xmin.
create table audit_entry (
    id bigint generated always as identity constraint audit_entry_pkey primary key,
    xact xid8 not null default pg_current_xact_id(),
    at timestamptz not null,
    principal_id bigint not null constraint audit_entry_principal_fkey references principal,
    act text not null,
    request_id text not null,
    body text not null
);

create table vessel (
    id bigint generated always as identity constraint vessel_pkey primary key,
    code text not null constraint vessel_code_key unique,
    name text not null,
    volume_ul bigint not null constraint vessel_holds_something check (volume_ul > 0),
    fill_percent bigint not null constraint vessel_fill_range check (fill_percent between 1 and 1000000),
    uses text[] not null,
    note text not null default '',
    added_at timestamptz not null
);

-- +goose StatementBegin
create function refuse_change() returns trigger language plpgsql as $$
begin
    raise exception 'rows of % are history: a correction is a new row', tg_table_name
        using errcode = 'restrict_violation', constraint = 'history_is_append_only';
end $$;
-- +goose StatementEnd

create trigger audit_entry_is_history before update or delete or truncate on audit_entry
    for each statement execute function refuse_change();
