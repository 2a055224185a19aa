from decimal import Decimal

import pytest

from garage.core.lists.kinds import CHOICES, COLUMNS, LETTERS, LONGEST, NUMBERS, PLACES, plan_kinds
from garage.core.lists.plan import LineCounts, LineOutcome
from garage.models.owners import MachineKind

HEAD = "make;model;first_year;last_year;fires_per_turn;gearbox;stroke_mm;rod_mm;design_rpm\n"
EMPTY = dict.fromkeys(NUMBERS) | dict.fromkeys(CHOICES, "")
CORRICK = EMPTY | {"make": "Corrick", "model": "185", "first_year": 1979, "stroke_mm": Decimal("54.00")}


def planned(*lines, known=None):
    return plan_kinds((HEAD + "\n".join(lines)).encode(), known or {})


def only(plan):
    (entry,) = plan.entries
    return entry


def test_a_new_kind_is_read_with_all_that_its_line_says():
    plan = planned("Corrick;185;1979;1986;1;Geared;54,5;110.25;11000")
    assert only(plan).outcome == LineOutcome.NEW
    assert plan.rows[0].id is None
    assert plan.rows[0].values == {
        "make": "Corrick",
        "model": "185",
        "first_year": 1979,
        "last_year": 1986,
        "fires_per_turn": 1.0,
        "gearbox": "geared",
        "stroke_mm": Decimal("54.5"),
        "rod_mm": Decimal("110.25"),
        "design_rpm": 11000,
    }


def test_a_filled_cell_wins_and_an_empty_one_leaves_what_is_known():
    plan = planned("CORRICK;185;1979;1986;;;56;;", known={7: CORRICK})
    entry = only(plan)
    assert (entry.outcome, entry.line) == (LineOutcome.CHANGED, 2)
    assert entry.says == ("last_year: nothing becomes 1986", "stroke_mm: 54.00 becomes 56")
    assert (plan.rows[0].id, plan.rows[0].values) == (7, {"last_year": 1986, "stroke_mm": Decimal(56)})


def test_what_says_nothing_new_is_the_same():
    plan = planned("corrick;185;1979;;;;54,0;;", known={7: CORRICK})
    assert only(plan).outcome == LineOutcome.SAME
    assert plan.rows == ()


def test_another_first_year_is_another_kind():
    assert only(planned("Corrick;185;1980;;;;;;", known={7: CORRICK})).outcome == LineOutcome.NEW


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (";185;;;;;;;", "Line 2, make is missing; allowed is up to 40 letters."),
        ("Corrick;;;;;;;;", "Line 2, model is missing; allowed is up to 40 letters."),
        (f"{'x' * 41};185;;;;;;;", f"Line 2, make is '{'x' * 41}'; allowed is up to 40 letters."),
        (
            "Corrick;185;79;;;;;;",
            "Line 2, first_year is '79'; allowed is a year in four digits, such as 1984, or nothing.",
        ),
        ("Corrick;185;1986;1979;;;;;", "Line 2, Last year is 1979; allowed is 1986 or later."),
        ("Corrick;185;;;3;;;;", "Line 2, Sparks a turn is 3.0; allowed is 0.5, 1 or 2."),
        ("Corrick;185;;;;foot;;;", "Line 2, gearbox is 'foot'; allowed is geared or automatic, or nothing."),
        (
            "Corrick;185;;;;;x5;;",
            "Line 2, stroke_mm is 'x5'; allowed is a number with at most 2 decimal places, or nothing.",
        ),
        (
            "Corrick;185;;;;;54,123;;",
            "Line 2, stroke_mm is '54,123'; allowed is a number with at most 2 decimal places, or nothing.",
        ),
        ("Corrick;185;;;;;500;;", "Line 2, Stroke, mm is 500; allowed is 10 to 200, or nothing."),
        ("Corrick;185;;;;;54;20;", "Line 2, Rod, mm is 20; allowed is longer than half the stroke, 27."),
        (
            "Corrick;185;;;;;;;11.000",
            "Line 2, design_rpm is '11.000'; allowed is a number without decimals, or nothing.",
        ),
        ("Corrick;185;;;;;;;=1+1", "Line 2, design_rpm is '=1+1'; allowed is a number without decimals, or nothing."),
        (
            "Corrick;185;;;;;;;;more",
            "Line 2, number of cells is 'too many'; allowed is as many as there are column names, "
            "with quotes around a cell that holds the separator.",
        ),
    ],
)
def test_a_bad_line_has_one_sentence_with_line_column_and_what_is_allowed(line, sentence):
    entry = only(planned(line))
    assert (entry.outcome, entry.says) == (LineOutcome.REFUSED, (sentence,))


def test_what_fits_neither_the_line_alone_nor_what_is_known_is_refused():
    entry = only(planned("Corrick;185;1979;1970;;;;;", known={7: CORRICK}))
    assert entry.says == ("Line 2, Last year is 1970; allowed is 1979 or later.",)
    assert only(planned("Corrick;185;1979;;;;;25;", known={7: CORRICK})).outcome == LineOutcome.REFUSED


def test_a_kind_that_stands_twice_in_the_file_is_taken_once():
    plan = planned("Corrick;185;;;;;;;", "corrick;185;;;;;56;;")
    assert plan.counts == LineCounts(new=1, refused=1)
    assert "it is in line 2" in plan.entries[1].says[0]


def test_a_refused_line_does_not_take_the_place_of_a_good_one():
    assert planned("Corrick;185;;;;;x;;", "Corrick;185;;;;;;;").counts == LineCounts(new=1, refused=1)


def test_the_gearing_of_a_kind_is_read_and_refused_by_the_limits_of_the_page():
    head = "make;model;primary_ratio;gears;final drive;tyre\n"
    good = plan_kinds((head + "Corrick;185;2,65;2.92 1.83 1.04;2.47;90/90-18").encode(), {})
    assert good.rows[0].values["gear_ratios"] == "2.92 1.83 1.04"
    assert good.rows[0].values["primary_ratio"] == Decimal("2.65")
    bad = plan_kinds((head + "Corrick;185;2.65;1.04 1.83;2.47;90/90-18").encode(), {})
    assert "Line 2, Gear ratios" in only(bad).says[0]


def test_the_columns_and_their_words_are_those_of_the_rows():
    fields = {field.name: field for field in MachineKind._meta.concrete_fields}
    assert {column.name for column in COLUMNS} == set(fields) - {"id"}
    assert {name: list(words) for name, words in CHOICES.items()} == {
        name: [value for value, _ in fields[name].choices] for name in CHOICES
    }
    assert fields["make"].max_length == fields["model"].max_length == LONGEST
    assert {name: getattr(fields[name], "decimal_places", 0) for name in PLACES} == PLACES
    assert {name: fields[name].max_length for name in LETTERS} == LETTERS
