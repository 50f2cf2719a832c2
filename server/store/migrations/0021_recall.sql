-- +goose Up
-- Recalls: from one thing to every garment that has it in it, who was told, and
-- what became of each.

create table recall (
    id bigint generated always as identity constraint recall_pkey primary key,
    kind text not null constraint recall_kind_known
        check (kind in ('parcel', 'record', 'entry', 'bath', 'lot', 'run', 'garment', 'supplier-lot', 'harvest', 'recipe')),
    -- The row of that kind; of a supplier's lot, the item; of a recipe, the version.
    node_id bigint not null default 0,
    -- Of a bath: this use and those after it; 0 is all.
    bath_use smallint not null default 0 constraint recall_use_not_negative check (bath_use >= 0),
    supplier text not null default '',
    -- The supplier's lot, or the place of a harvest.
    words text not null default '',
    picked_on date,
    -- The node as it was said when the recall was opened.
    title text not null constraint recall_has_a_title check (title <> ''),
    reason text not null constraint recall_has_a_reason check (reason <> ''),
    by_name text not null constraint recall_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint recall_principal_fkey references principal,
    constraint recall_node_whole check ((kind in ('supplier-lot', 'harvest')) = (words <> '') and (kind = 'harvest') = (picked_on is not null))
);

-- As each was found. What came downstream later joins when somebody was told of
-- it, or it was accounted for; until then the trace names it.
create table recall_garment (
    recall_id bigint not null constraint recall_garment_recall_fkey references recall,
    garment_id bigint not null constraint recall_garment_garment_fkey references garment,
    since_then boolean not null,
    place text not null,
    order_ref text not null,
    found_at timestamptz not null,
    constraint recall_garment_pkey primary key (recall_id, garment_id)
);
create index recall_garment_garment_idx on recall_garment (garment_id);

create table recall_told (
    id bigint generated always as identity constraint recall_told_pkey primary key,
    recall_id bigint not null,
    garment_id bigint not null,
    how text not null constraint recall_told_says_how check (how <> ''),
    by_name text not null constraint recall_told_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint recall_told_principal_fkey references principal,
    constraint recall_told_garment_fkey foreign key (recall_id, garment_id) references recall_garment
);
create index recall_told_garment_idx on recall_told (recall_id, garment_id, id desc);

-- The newest of a garment is in force.
create table recall_account (
    id bigint generated always as identity constraint recall_account_pkey primary key,
    recall_id bigint not null,
    garment_id bigint not null,
    how text not null constraint recall_account_how_known check (how in ('returned', 'checked-and-kept', 'destroyed', 'cannot-be-reached')),
    -- It was taken back, or scrapped, in the same act.
    moved boolean not null,
    note text not null default '',
    by_name text not null constraint recall_account_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint recall_account_principal_fkey references principal,
    constraint recall_account_garment_fkey foreign key (recall_id, garment_id) references recall_garment
);
create index recall_account_garment_idx on recall_account (recall_id, garment_id, id desc);

-- Garments that an owner let go although a recall held them.
create table recall_override (
    id bigint generated always as identity constraint recall_override_pkey primary key,
    recall_id bigint not null constraint recall_override_recall_fkey references recall,
    garment_id bigint not null constraint recall_override_garment_fkey references garment,
    order_ref text not null,
    reason text not null constraint recall_override_has_a_reason check (reason <> ''),
    by_name text not null constraint recall_override_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint recall_override_principal_fkey references principal
);
create index recall_override_recall_idx on recall_override (recall_id, garment_id, id desc);
create index recall_override_garment_idx on recall_override (garment_id);

-- It is open until a row stands here.
create table recall_end (
    recall_id bigint constraint recall_end_pkey primary key constraint recall_end_recall_fkey references recall,
    reason text not null constraint recall_end_has_a_reason check (reason <> ''),
    by_name text not null constraint recall_end_has_a_name check (by_name <> ''),
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint recall_end_principal_fkey references principal
);

create trigger recall_is_history before update or delete or truncate on recall
    for each statement execute function refuse_change();
create trigger recall_garment_is_history before update or delete or truncate on recall_garment
    for each statement execute function refuse_change();
create trigger recall_told_is_history before update or delete or truncate on recall_told
    for each statement execute function refuse_change();
create trigger recall_account_is_history before update or delete or truncate on recall_account
    for each statement execute function refuse_change();
create trigger recall_override_is_history before update or delete or truncate on recall_override
    for each statement execute function refuse_change();
create trigger recall_end_is_history before update or delete or truncate on recall_end
    for each statement execute function refuse_change();

-- Ways into the trace that were not asked before.
-- When it was sold last, of ten thousand garments at once.
create index garment_event_sold_idx on garment_event (garment_id, id desc) include (happened_at) where kind = 'sold';
create index parcel_picked_idx on parcel (picked_on) where origin = 'harvest';
