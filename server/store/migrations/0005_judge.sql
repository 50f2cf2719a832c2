-- +goose Up
-- Readings, fastness, the house standard, and what was decided.

create table reading (
    id bigint generated always as identity constraint reading_pkey primary key,
    lot_id bigint not null constraint reading_lot_fkey references lot,
    garment_id bigint constraint reading_garment_fkey references garment,
    l double precision not null constraint reading_l_range check (l between 0 and 100),
    a double precision not null constraint reading_a_range check (a between -300 and 300),
    b double precision not null constraint reading_b_range check (b between -300 and 300),
    illuminant text not null,
    observer smallint not null constraint reading_observer_known check (observer in (2, 10)),
    wet boolean not null,
    rested boolean not null,
    by_name text not null,
    instrument text not null,
    note text not null default '',
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint reading_principal_fkey references principal
);
create index reading_lot_idx on reading (lot_id);

create table fastness_test (
    id bigint generated always as identity constraint fastness_test_pkey primary key,
    lot_id bigint not null constraint fastness_test_lot_fkey references lot,
    scope text not null constraint fastness_test_scope_known check (scope in ('lot', 'harvest', 'recipe')),
    method text not null,
    edition text not null default '',
    variant text not null default '',
    direction text not null default '',
    assessor text not null,
    evidence text not null default '',
    tested_on date not null,
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint fastness_test_principal_fkey references principal
);
create index fastness_test_lot_idx on fastness_test (lot_id);

create table fastness_grade (
    test_id bigint not null constraint fastness_grade_test_fkey references fastness_test,
    component text not null,
    -- As written: "3-4". Its order is the scale's, in inventory/fastness.
    grade text not null,
    constraint fastness_grade_pkey primary key (test_id, component)
);

-- Append-only: the newest row of a key is in force.
create table house_row (
    id bigint generated always as identity constraint house_row_pkey primary key,
    key text not null,
    minimum text not null,
    scope text not null constraint house_row_scope_known check (scope in ('lot', 'harvest', 'recipe')),
    active boolean not null,
    -- Of the source that was checked; empty for the studio's own rows.
    edition text not null default '',
    note text not null default '',
    set_at timestamptz not null,
    set_by bigint constraint house_row_principal_fkey references principal
);
create index house_row_key_idx on house_row (key, id desc);

create table row_override (
    id bigint generated always as identity constraint row_override_pkey primary key,
    lot_id bigint not null constraint row_override_lot_fkey references lot,
    row_key text not null,
    reason text not null constraint row_override_has_a_reason check (reason <> ''),
    by_name text not null constraint row_override_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint row_override_principal_fkey references principal
);
create index row_override_lot_idx on row_override (lot_id);

create table verdict (
    id bigint generated always as identity constraint verdict_pkey primary key,
    lot_id bigint not null constraint verdict_lot_fkey references lot,
    -- Null: the whole lot.
    garment_id bigint constraint verdict_garment_fkey references garment,
    outcome text not null constraint verdict_outcome_known
        check (outcome in ('passed', 'held', 'imperfect', 're-dye', 'scrapped', 'closed')),
    reason text not null,
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint verdict_principal_fkey references principal
);
create index verdict_lot_idx on verdict (lot_id);

create trigger reading_is_history before update or delete or truncate on reading
    for each statement execute function refuse_change();
create trigger fastness_test_is_history before update or delete or truncate on fastness_test
    for each statement execute function refuse_change();
create trigger fastness_grade_is_history before update or delete or truncate on fastness_grade
    for each statement execute function refuse_change();
create trigger house_row_is_history before update or delete or truncate on house_row
    for each statement execute function refuse_change();
create trigger row_override_is_history before update or delete or truncate on row_override
    for each statement execute function refuse_change();
create trigger verdict_is_history before update or delete or truncate on verdict
    for each statement execute function refuse_change();
