-- +goose Up
-- The studio's working hours, and stages that a person pinned to a time.

-- The newest row is in force.
create table studio_hours (
    id bigint generated always as identity constraint studio_hours_pkey primary key,
    -- 0 is Sunday.
    weekdays smallint[] not null constraint studio_hours_some_day check (cardinality(weekdays) between 1 and 7 and weekdays <@ CAST('{0,1,2,3,4,5,6}' AS smallint[])),
    -- Minutes of the day.
    from_minute integer not null constraint studio_hours_from_range check (from_minute between 0 and 1439),
    to_minute integer not null,
    people integer not null constraint studio_hours_people_positive check (people > 0),
    -- Zero: never counted.
    burners integer not null constraint studio_hours_burners_not_negative check (burners >= 0),
    rack_pieces integer not null constraint studio_hours_rack_not_negative check (rack_pieces >= 0),
    days_off date[] not null,
    set_at timestamptz not null,
    set_by bigint not null constraint studio_hours_principal_fkey references principal,
    constraint studio_hours_end_after_they_begin check (to_minute > from_minute and to_minute <= 1440)
);

-- The newest row of a lot and position is in force, unless it takes the pin back.
create table stage_pin (
    id bigint generated always as identity constraint stage_pin_pkey primary key,
    lot_id bigint not null constraint stage_pin_lot_fkey references lot,
    position integer not null constraint stage_pin_position_positive check (position > 0),
    starts_at timestamptz,
    vessel_id bigint constraint stage_pin_vessel_fkey references vessel,
    reason text not null default '',
    withdrawn boolean not null default false,
    at timestamptz not null,
    recorded_by bigint not null constraint stage_pin_principal_fkey references principal,
    constraint stage_pin_has_a_time check (withdrawn or starts_at is not null)
);
create index stage_pin_lot_idx on stage_pin (lot_id, position, id desc);

create trigger studio_hours_is_history before update or delete or truncate on studio_hours
    for each statement execute function refuse_change();
create trigger stage_pin_is_history before update or delete or truncate on stage_pin
    for each statement execute function refuse_change();
