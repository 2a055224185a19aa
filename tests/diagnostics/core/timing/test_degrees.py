"""The table of useful degrees and the converter; the geometry itself is checked in test_timing."""

import pytest

from diagnostics.core.timing.degrees import MOST_ROWS, Engine, degree_row, row_at_mm, useful_rows
from garage.core.errors import BadInput

ENGINE = Engine(stroke_mm=54, rod_mm=110, flywheel_mm=110, spec_deg=18)


# Recomputed outside the project from the closed form: 54/110 at 15, 18, 20, 22 degrees; rim of a
# flywheel 110 mm across at 18 degrees 17.2788 mm.
def test_the_table_matches_the_reference_sheet():
    rows = {row.deg: row for row in useful_rows(ENGINE)}
    assert [round(rows[deg].piston_mm, 4) for deg in (15, 18, 20, 22)] == [1.1422, 1.6384, 2.0166, 2.4320]
    assert round(rows[18].rim_mm, 4) == 17.2788


def test_the_table_holds_the_spec_and_four_degrees_around_it():
    assert [row.deg for row in useful_rows(ENGINE)] == list(range(14, 23))
    assert [row.deg for row in useful_rows(ENGINE) if row.is_spec] == [18]


@pytest.mark.parametrize(("spec", "change"), [(10, 18), (30, -12), (20, 40)])
def test_a_curve_is_covered_from_end_to_end_in_few_rows(spec, change):
    rows = useful_rows(Engine(flywheel_mm=100, spec_deg=spec, change_deg=change))
    assert {row.deg for row in rows if row.is_spec} == {spec, spec + change}
    assert len(rows) <= MOST_ROWS + 2
    assert [row.deg for row in rows] == sorted({row.deg for row in rows})


def test_no_row_lies_after_top_dead_centre():
    assert useful_rows(Engine(flywheel_mm=100, spec_deg=2))[0].deg == 0


def test_without_a_spec_the_usual_degrees_are_shown():
    degrees = [row.deg for row in useful_rows(Engine(stroke_mm=54, rod_mm=110))]
    assert (degrees[0], degrees[-1]) == (10, 30)


def test_unknown_values_are_left_out():
    assert degree_row(Engine(flywheel_mm=110), 18).piston_mm is None
    assert degree_row(Engine(stroke_mm=54, rod_mm=110), 18).rim_mm is None
    with pytest.raises(BadInput, match="stroke_mm and rod_mm"):
        row_at_mm(Engine(stroke_mm=54, flywheel_mm=110), 2)


# Recomputed outside the project: 54/110, 2.0 mm is 19.916 degrees.
def test_millimetres_are_turned_into_degrees_and_their_rim_arc():
    row = row_at_mm(ENGINE, 2)
    assert (round(row.deg, 3), row.piston_mm) == (19.916, 2)
    assert row.rim_mm == pytest.approx(degree_row(ENGINE, row.deg).rim_mm)


def test_impossible_measures_are_named():
    with pytest.raises(BadInput) as refused:
        useful_rows(Engine(stroke_mm=54, rod_mm=20, spec_deg=18))
    assert refused.value.where == "rod_mm"


def test_a_converter_without_the_piston_s_measures_says_what_it_needs():
    for engine in (Engine(rod_mm=110), Engine(stroke_mm=54)):
        assert not engine.has_piston
        with pytest.raises(BadInput) as refused:
            row_at_mm(engine, 2)
        assert refused.value.where == "stroke_mm and rod_mm"
        assert (refused.value.found, refused.value.allowed) == (None, "both, filled in with the machine's details")
    assert ENGINE.has_piston
    assert row_at_mm(Engine(stroke_mm=54, rod_mm=110), 2).rim_mm is None


def test_a_row_has_its_angle_as_a_number_and_is_no_spec_unless_said():
    row = degree_row(ENGINE, 18)
    assert (row.deg, type(row.deg), row.is_spec) == (18.0, float, False)
    assert degree_row(ENGINE, 18, is_spec=True).is_spec
    assert not row_at_mm(ENGINE, 2).is_spec
    assert type(row_at_mm(ENGINE, 2).piston_mm) is float
    assert degree_row(Engine(rod_mm=110), 18).piston_mm is degree_row(Engine(stroke_mm=54), 18).piston_mm is None


@pytest.mark.parametrize(
    ("spec", "change", "degrees"),
    [
        (17.5, 0, [*range(13, 18), 17.5, *range(18, 23)]),
        (10, 9, [*range(6, 24)]),  # eighteen rows
        (10, 10, [*range(6, 25, 2)]),  # nineteen would be too many
        (10, -4.5, [*range(1, 6), 5.5, *range(6, 15)]),
        (177, 0, [*range(173, 181)]),
        (2, 0, [*range(7)]),
    ],
)
def test_the_rows_go_from_four_below_the_lowest_to_four_above_the_highest_within_half_a_turn(spec, change, degrees):
    rows = useful_rows(Engine(flywheel_mm=100, spec_deg=spec, change_deg=change))
    assert [row.deg for row in rows] == degrees
    assert {row.deg for row in rows if row.is_spec} == {spec, spec + change}


def test_without_a_spec_every_second_degree_is_shown_and_none_is_the_spec():
    rows = useful_rows(Engine(flywheel_mm=100))
    assert [row.deg for row in rows] == [*range(10, 31, 2)]
    assert not any(row.is_spec for row in rows)
