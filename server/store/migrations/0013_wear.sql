-- +goose Up
-- What an instrument made of a fastness test, the laboratory's report, window
-- tests with their looks, and published studies to look things up in.

-- The window test that a result is of comes first: the test points at it.
create table window_test (
    id bigint generated always as identity constraint window_test_pkey primary key,
    lot_id bigint not null constraint window_test_lot_fkey references lot,
    -- What its result will be evidence for.
    scope text not null constraint window_test_scope_known check (scope in ('lot', 'harvest', 'recipe')),
    specimen text not null default '',
    place text not null constraint window_test_has_a_place check (place <> ''),
    faces text not null default '' constraint window_test_faces_known
        check (faces in ('', 'north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west', 'sky')),
    -- Light of the place, both or neither; a guess is not written as a figure.
    lux double precision constraint window_test_lux_range check (lux > 0 and lux <= 200000),
    hours_per_day double precision constraint window_test_hours_range check (hours_per_day > 0 and hours_per_day <= 24),
    uv_filtered boolean not null,
    -- ISO blue wools beside it, rising.
    blue_wools smallint[] not null constraint window_test_wools_known check (blue_wools <@ CAST('{1,2,3,4,5,6,7,8}' AS smallint[])),
    put_out_on date not null,
    look_on date[] not null,
    by_name text not null constraint window_test_has_a_name check (by_name <> ''),
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint window_test_principal_fkey references principal,
    constraint window_test_light_whole check (num_nonnulls(lux, hours_per_day) in (0, 2))
);

-- Of several looks on one day the one written last counts; the others stay to be
-- read.
create table window_look (
    id bigint generated always as identity constraint window_look_pkey primary key,
    window_id bigint not null constraint window_look_window_fkey references window_test,
    looked_on date not null,
    -- Of change, on the grey scale: "4-5"; empty where nobody graded it.
    grade text not null default '',
    -- Blue wools that had changed by then.
    changed smallint[] not null constraint window_look_wools_known check (changed <@ CAST('{1,2,3,4,5,6,7,8}' AS smallint[])),
    by_name text not null constraint window_look_has_a_name check (by_name <> ''),
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint window_look_principal_fkey references principal
);
create index window_look_window_idx on window_look (window_id, looked_on, id);

-- It is out until a row stands here.
create table window_end (
    window_id bigint constraint window_end_pkey primary key constraint window_end_window_fkey references window_test,
    taken_in_on date not null,
    -- Why there is no grade; empty where a fastness test was recorded.
    given_up text not null default '',
    by_name text not null constraint window_end_has_a_name check (by_name <> ''),
    note text not null default '',
    recorded_at timestamptz not null,
    recorded_by bigint not null constraint window_end_principal_fkey references principal
);

alter table fastness_test
    -- Which of several: "strip 2".
    add column specimen text not null default '',
    add column laboratory text not null default '',
    -- Or "eye"; empty where nobody said.
    add column instrument text not null default '',
    add column report_name text not null default '',
    add column report_sha256 bytea constraint fastness_test_report_hash_whole check (octet_length(report_sha256) = 32),
    add column window_id bigint
        constraint fastness_test_window_fkey references window_test
        constraint fastness_test_window_once unique,
    add constraint fastness_test_report_whole check ((report_name <> '') = (report_sha256 is not null));

-- What two colours of one component say by formula, beside the assessor's grade;
-- of a component of a test, or of a specimen in the window on a day.
create table measured_grade (
    id bigint generated always as identity constraint measured_grade_pkey primary key,
    test_id bigint constraint measured_grade_test_fkey references fastness_test,
    look_id bigint constraint measured_grade_look_fkey references window_look constraint measured_grade_look_once unique,
    component text not null,
    -- The scale is the grey one of the formula: A04 for staining, else A05.
    formula text not null constraint measured_grade_formula_known check (formula in ('ISO 105-A04', 'ISO 105-A05')),
    figure double precision not null constraint measured_grade_figure_not_negative check (figure >= 0),
    grade text not null,
    before_l double precision not null constraint measured_grade_before_l_range check (before_l between 0 and 100),
    before_a double precision not null,
    before_b double precision not null,
    after_l double precision not null constraint measured_grade_after_l_range check (after_l between 0 and 100),
    after_a double precision not null,
    after_b double precision not null,
    illuminant text not null,
    observer smallint not null constraint measured_grade_observer_known check (observer in (2, 10)),
    instrument text not null default '',
    -- At the same wavelengths; all four null where only L*a*b* is known.
    first_nm smallint,
    step_nm smallint constraint measured_grade_step_known check (step_nm in (5, 10, 20)),
    before_reflectance double precision[],
    after_reflectance double precision[],
    specular text not null default '' constraint measured_grade_specular_known check (specular in ('', 'included', 'excluded')),
    constraint measured_grade_component_once unique (test_id, component),
    constraint measured_grade_of_one_thing check (num_nonnulls(test_id, look_id) = 1),
    constraint measured_grade_spectrum_whole check (num_nonnulls(first_nm, step_nm, before_reflectance, after_reflectance) in (0, 4))
);

-- Published tables, as printed: something to expect, and never a lot's grade.
-- Nothing here points at a lot, and no judgement reads it.
create table study (
    id bigint generated always as identity constraint study_pkey primary key,
    key text not null constraint study_key_key unique,
    citation text not null constraint study_has_a_citation check (citation <> ''),
    licence text not null constraint study_has_a_licence check (licence <> ''),
    dye text not null,
    substrate text not null,
    caveats text[] not null,
    loaded_at timestamptz not null,
    loaded_by bigint not null constraint study_principal_fkey references principal
);

create table study_result (
    study_id bigint not null constraint study_result_study_fkey references study,
    line integer not null,
    of_table text not null,
    sample text not null,
    -- As printed; salt is its formula without water, where it has one.
    mordant text not null,
    salt text not null default '',
    salt_name text not null default '',
    metal text not null default '',
    fibre text not null,
    fibres text[] not null,
    conditions text not null default '',
    component text not null,
    printed text not null,
    -- In half grades, 2 is grade 1; null where the cell is no grade.
    half_grades smallint,
    scale text not null default '',
    note text not null default '',
    constraint study_result_pkey primary key (study_id, line)
);

create trigger window_test_is_history before update or delete or truncate on window_test
    for each statement execute function refuse_change();
create trigger window_look_is_history before update or delete or truncate on window_look
    for each statement execute function refuse_change();
create trigger window_end_is_history before update or delete or truncate on window_end
    for each statement execute function refuse_change();
create trigger measured_grade_is_history before update or delete or truncate on measured_grade
    for each statement execute function refuse_change();
create trigger study_is_history before update or delete or truncate on study
    for each statement execute function refuse_change();
create trigger study_result_is_history before update or delete or truncate on study_result
    for each statement execute function refuse_change();
