-- +goose Up
-- Garments sorted by shade: which may hang side by side. The newest sort that
-- covers a lot is in force for it.

create table shade_sort (
    id bigint generated always as identity constraint shade_sort_pkey primary key,
    -- As it is said: "R1", "W1", or "L1, L2".
    sorted_of text not null constraint shade_sort_of_something check (sorted_of <> ''),
    standard_id bigint not null constraint shade_sort_standard_fkey references shade_standard,
    -- Thousandths of a CIEDE2000 unit.
    tolerance bigint not null constraint shade_sort_tolerance_positive check (tolerance > 0),
    groups integer not null constraint shade_sort_has_groups check (groups > 0),
    -- No fewer groups would do.
    proved boolean not null,
    by_name text not null constraint shade_sort_has_a_name check (by_name <> ''),
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint shade_sort_principal_fkey references principal
);

-- The lots that a sort covers, those without a garment in any group too.
create table shade_sort_lot (
    sort_id bigint not null constraint shade_sort_lot_sort_fkey references shade_sort,
    lot_id bigint not null constraint shade_sort_lot_lot_fkey references lot,
    constraint shade_sort_lot_pkey primary key (sort_id, lot_id)
);
create index shade_sort_lot_lot_idx on shade_sort_lot (lot_id, sort_id desc);

create table shade_group_garment (
    sort_id bigint not null constraint shade_group_garment_sort_fkey references shade_sort,
    garment_id bigint not null constraint shade_group_garment_garment_fkey references garment,
    lot_id bigint not null,
    group_no integer not null constraint shade_group_garment_group_positive check (group_no > 0),
    -- Its colour then, in the standard's light: the mean of its own readings.
    l double precision not null constraint shade_group_garment_l_range check (l between 0 and 100),
    a double precision not null constraint shade_group_garment_a_range check (a between -300 and 300),
    b double precision not null constraint shade_group_garment_b_range check (b between -300 and 300),
    constraint shade_group_garment_pkey primary key (sort_id, garment_id),
    constraint shade_group_garment_lot_fkey foreign key (sort_id, lot_id) references shade_sort_lot (sort_id, lot_id)
);

create trigger shade_sort_is_history before update or delete or truncate on shade_sort
    for each statement execute function refuse_change();
create trigger shade_sort_lot_is_history before update or delete or truncate on shade_sort_lot
    for each statement execute function refuse_change();
create trigger shade_group_garment_is_history before update or delete or truncate on shade_group_garment
    for each statement execute function refuse_change();

-- A colour's lots over the years.
create index run_standard_idx on run (standard_id);
