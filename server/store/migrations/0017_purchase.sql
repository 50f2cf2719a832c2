-- +goose Up
-- What suppliers ask, what was ordered of them, and what came of it.

-- The newest row of an item and a supplier is in force, unless it was withdrawn
-- by it; how the supplier's name is written does not matter.
create table supplier_offer (
    id bigint generated always as identity constraint supplier_offer_pkey primary key,
    item_id bigint not null constraint supplier_offer_item_fkey references item,
    supplier text not null constraint supplier_offer_has_a_supplier check (supplier <> ''),
    -- In the item's smallest step; minimum in packs.
    pack bigint not null constraint supplier_offer_pack_positive check (pack > 0),
    minimum bigint not null constraint supplier_offer_minimum_positive check (minimum > 0),
    currency text not null constraint supplier_offer_currency_form check (currency ~ '^[A-Z]{3}$'),
    -- What one order costs to send, whatever it holds.
    carriage_micro bigint not null default 0 constraint supplier_offer_carriage_not_negative check (carriage_micro >= 0),
    lead_days integer not null constraint supplier_offer_lead_range check (lead_days between 0 and 730),
    valid_from date,
    valid_until date,
    note text not null default '',
    withdrawn boolean not null default false,
    reason text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint supplier_offer_principal_fkey references principal,
    constraint supplier_offer_days_in_order check (valid_until >= valid_from)
);
create index supplier_offer_item_idx on supplier_offer (item_id, lower(supplier), id desc);

create table offer_break (
    offer_id bigint not null constraint offer_break_offer_fkey references supplier_offer,
    from_packs bigint not null constraint offer_break_from_positive check (from_packs > 0),
    price_micro_per_pack bigint not null constraint offer_break_price_positive check (price_micro_per_pack > 0),
    constraint offer_break_pkey primary key (offer_id, from_packs)
);

create table purchase_order (
    id bigint generated always as identity constraint purchase_order_pkey primary key,
    supplier text not null constraint purchase_order_has_a_supplier check (supplier <> ''),
    ordered_on date not null,
    promised_on date not null,
    by_name text not null,
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint purchase_order_principal_fkey references principal,
    constraint purchase_order_days_in_order check (promised_on >= ordered_on)
);
create index purchase_order_supplier_idx on purchase_order (lower(supplier));

create table purchase_line (
    order_id bigint not null constraint purchase_line_order_fkey references purchase_order,
    line smallint not null,
    item_id bigint not null constraint purchase_line_item_fkey references item,
    amount bigint not null constraint purchase_line_amount_positive check (amount > 0),
    cost_micro bigint constraint purchase_line_cost_not_negative check (cost_micro >= 0),
    currency text,
    constraint purchase_line_pkey primary key (order_id, line),
    constraint purchase_line_cost_has_a_currency check ((cost_micro is null) = (currency is null))
);
create index purchase_line_item_idx on purchase_line (item_id);

-- What came of a line. A receipt stands while its movement does: a reversal of
-- that gives the line back. cost_micro is the share of the line's cost that it
-- covers; shares of a line that came whole sum to its cost.
create table purchase_receipt (
    id bigint generated always as identity constraint purchase_receipt_pkey primary key,
    order_id bigint not null,
    line smallint not null,
    parcel_id bigint not null constraint purchase_receipt_parcel_fkey references parcel constraint purchase_receipt_parcel_once unique,
    movement_id bigint not null constraint purchase_receipt_movement_fkey references movement constraint purchase_receipt_movement_once unique,
    amount bigint not null constraint purchase_receipt_amount_positive check (amount > 0),
    cost_micro bigint not null default 0 constraint purchase_receipt_cost_not_negative check (cost_micro >= 0),
    constraint purchase_receipt_line_fkey foreign key (order_id, line) references purchase_line (order_id, line)
);
create index purchase_receipt_line_idx on purchase_receipt (order_id, line);

create table purchase_closed (
    order_id bigint not null,
    line smallint not null,
    reason text not null constraint purchase_closed_has_a_reason check (reason <> ''),
    by_name text not null,
    at timestamptz not null,
    recorded_by bigint not null constraint purchase_closed_principal_fkey references principal,
    constraint purchase_closed_once primary key (order_id, line),
    constraint purchase_closed_line_fkey foreign key (order_id, line) references purchase_line (order_id, line)
);

create trigger supplier_offer_is_history before update or delete or truncate on supplier_offer
    for each statement execute function refuse_change();
create trigger offer_break_is_history before update or delete or truncate on offer_break
    for each statement execute function refuse_change();
create trigger purchase_order_is_history before update or delete or truncate on purchase_order
    for each statement execute function refuse_change();
create trigger purchase_line_is_history before update or delete or truncate on purchase_line
    for each statement execute function refuse_change();
create trigger purchase_receipt_is_history before update or delete or truncate on purchase_receipt
    for each statement execute function refuse_change();
create trigger purchase_closed_is_history before update or delete or truncate on purchase_closed
    for each statement execute function refuse_change();
