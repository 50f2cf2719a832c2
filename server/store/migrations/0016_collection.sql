-- +goose Up
-- Collections: what a season is to bring, and which runs were planned for it.

create table collection (
    id bigint generated always as identity constraint collection_pkey primary key,
    code text not null constraint collection_code_key unique
        constraint collection_code_form check (code ~ '^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$'),
    name text not null,
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint collection_principal_fkey references principal
);

-- Append-only: the newest row of a colourway, a blank and a day is in force; one
-- of no pieces takes the line out.
create table collection_line (
    id bigint generated always as identity constraint collection_line_pkey primary key,
    collection_id bigint not null constraint collection_line_collection_fkey references collection,
    colourway_id bigint not null constraint collection_line_colourway_fkey references colourway,
    item_id bigint not null constraint collection_line_item_fkey references item,
    pieces integer not null constraint collection_line_pieces_not_negative check (pieces >= 0),
    due_on date not null,
    at timestamptz not null,
    recorded_by bigint not null constraint collection_line_principal_fkey references principal
);
create index collection_line_newest_idx on collection_line (collection_id, colourway_id, item_id, due_on, id desc);

create table run_collection (
    run_id bigint constraint run_collection_pkey primary key constraint run_collection_run_fkey references run,
    collection_id bigint not null constraint run_collection_collection_fkey references collection
);
create index run_collection_collection_idx on run_collection (collection_id);

create trigger collection_is_history before update or delete or truncate on collection
    for each statement execute function refuse_change();
create trigger collection_line_is_history before update or delete or truncate on collection_line
    for each statement execute function refuse_change();
create trigger run_collection_is_history before update or delete or truncate on run_collection
    for each statement execute function refuse_change();
