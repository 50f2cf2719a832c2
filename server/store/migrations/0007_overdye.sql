-- +goose Up
-- Garments that go into a lot after their first: dyed again, or taken from the
-- shelf where they waited part-done.

alter table lot drop constraint lot_state_known;
alter table lot add constraint lot_state_known check (state in
    ('planned', 'in-work', 'part-done', 'waiting-for-tests', 'held', 'passed', 'imperfect', 're-dye', 'scrapped', 'closed', 'cancelled'));

alter table garment drop constraint garment_place_known;
alter table garment add constraint garment_place_known
    check (place in ('planned', 'in-work', 'part-done', 'shelf', 'sold', 'returned', 'scrapped', 'cancelled'));

-- The lot that a garment is planned into; null once that is issued, or given up.
-- Which lots it was of, and when it went where, its events say.
alter table garment add column next_lot_id bigint constraint garment_next_lot_fkey references lot;
alter table garment add constraint garment_next_is_another check (next_lot_id <> lot_id);
alter table garment add constraint garment_next_is_in_the_house
    check (next_lot_id is null or place in ('in-work', 'part-done', 'shelf', 'returned'));
create index garment_next_lot_idx on garment (next_lot_id) where next_lot_id is not null;
-- Few of the garments of ten years are in the house and wait for something.
create index garment_waiting_idx on garment (lot_id) where place in ('in-work', 'part-done', 'returned');

-- Cloth that was scoured, tannined or mordanted and put on the shelf.
create table part_done (
    lot_id bigint constraint part_done_pkey primary key constraint part_done_lot_fkey references lot,
    shade text not null constraint part_done_has_a_shade check (shade <> ''),
    note text not null default '',
    by_name text not null,
    happened_at timestamptz not null,
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint part_done_principal_fkey references principal
);

-- A stage of the recipe that a lot does not have, since its cloth had it before.
create table stage_left_out (
    lot_id bigint not null constraint stage_left_out_lot_fkey references lot,
    position integer not null,
    kind text not null,
    reason text not null constraint stage_left_out_has_a_reason check (reason <> ''),
    constraint stage_left_out_pkey primary key (lot_id, position)
);

create trigger part_done_is_history before update or delete or truncate on part_done
    for each statement execute function refuse_change();
create trigger stage_left_out_is_history before update or delete or truncate on stage_left_out
    for each statement execute function refuse_change();
