from __future__ import annotations

import pytest

from jobs.core.runs.logger.column_names import HOLDS, ColumnName, column_names, guesses, unit_said
from jobs.core.runs.units import POWER, TORQUE


@pytest.mark.parametrize(
    ("words", "unit", "key"),
    [
        ("Time", "s", "time:s"),
        ("Zeit", "ms", "time:ms"),
        ("Motordrehzahl", "U/min", "revs:rpm"),
        ("Engine RPM", "", "revs:rpm"),
        ("Roller speed", "km/h", "speed:km/h"),
        ("Drum speed", "1/min", "roller:rpm"),
        ("Speed", "mph", "speed:mph"),
        ("Torque", "lb.ft", "torque:lbf·ft"),
        ("Drehmoment", "N.m", "torque:Nm"),
        ("Power PS", "", "power:PS"),
        ("Wheel power", "bhp", "power:hp"),
        ("P_wheel", "kW", "power:kW"),
        ("hp", "", "power:hp"),
        ("Lambda", "", "air-fuel:lambda"),
        ("AFR 1", "-", "air-fuel:AFR"),
    ],
)
def test_a_column_is_guessed_by_name_and_unit(words, unit, key):
    (found,) = guesses([ColumnName(words, unit)]).values()
    assert found.key == key


@pytest.mark.parametrize(("words", "unit"), [("Throttle", "%"), ("Baro", "hPa"), ("", ""), ("Temp", "°C"), ("Lat", "")])
def test_what_a_curve_does_not_need_is_left_out(words, unit):
    assert guesses([ColumnName(words, unit)]) == {}


def test_of_two_columns_alike_the_first_is_taken():
    assert [*guesses([ColumnName("AFR 1"), ColumnName("AFR 2")])] == [0]


def test_names_go_over_several_lines_and_units_stand_below_or_in_brackets():
    above = [["Logger", "7"], ["Run 3"], ["Engine", "Wheel", ""], ["speed", "power", "λ"], ["(1/min)", "[kW]", "[-]"]]
    assert column_names(above, 3) == (
        ColumnName("Engine speed", "1/min"),
        ColumnName("Wheel power", "kW"),
        ColumnName("λ", "-"),
    )
    assert column_names([["t [s]", "M (Nm)"]], 2) == (ColumnName("t", "s"), ColumnName("M", "Nm"))


def test_a_file_without_names_has_columns_without_names():
    assert column_names([], 2) == (ColumnName(""), ColumnName(""))


def test_what_the_file_says_of_its_unit_is_known_in_any_spelling():
    assert unit_said(ColumnName("Torque", "ft-lbs"), TORQUE) == TORQUE.unit("lbf·ft")
    assert unit_said(ColumnName("Torque", "ft-lbs"), POWER) is None
    assert unit_said(ColumnName("Torque"), TORQUE) is None


def test_a_form_can_send_every_quantity_in_every_unit():
    assert {"time:s", "revs:rpm", "speed:mph", "roller:rpm", "torque:lbf·ft", "power:PS", "air-fuel:lambda"} <= {*HOLDS}
