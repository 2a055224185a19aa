"""The day in words says every mark of the drawing."""

from dataclasses import replace

import pytest

from garage.core.drawing.sheet import DaySheet, Promise, Rest, Stop, Thread, described, in_words
from garage.core.drawing.threads import draw
from tests.garage.core.sheet_drawing import four_machines, twelve_machines


def test_the_list_is_in_time_order_and_names_every_stop_promise_break_and_now():
    for sheet in (four_machines(), twelve_machines()):
        lines = in_words(sheet)
        assert [line.minute for line in lines] == sorted(line.minute for line in lines)
        marks = sum(len(thread.stops) for thread in sheet.threads) + len(sheet.promises) + len(set(sheet.rests)) + 1
        assert len(lines) == marks
        assert draw(sheet).lines == lines


def test_each_kind_of_mark_has_its_words():
    said = [f"{line.clock} {line.text}" for line in in_words(four_machines())]
    for sentence in (
        "08:30 41 Corrick 185, set-up: in the yard, until 08:45.",
        "09:00 41: rollers, set-up, done, until 10:30.",
        "09:30 42 Tarnhow 250, set-up: in the yard, until 10:05. It may well fail its gate: about 6 in 10 pass.",
        "10:20 42: bench 1, fix first: ceiling at 5 200, under way, until 12:10.",
        "10:50 Now.",
        "12:30 Dinner until 13:00.",
        "13:30 44 is promised the rollers.",
        "15:00 42: rollers, set-up, if it passes, planned, until 16:30.",
    ):
        assert sentence in said


def said(*stops: Stop, number: str = "41", odds: str = "") -> list[str]:
    thread = Thread(number, f"{number} Corrick 185", stops, odds)
    return [f"{line.clock} {line.text}" for line in in_words(DaySheet("A day", ("Bench 1",), (thread,)))]


def test_at_one_minute_now_comes_first_then_the_promise_then_the_work_then_the_break():
    thread = Thread("41", "41", (Stop("Rollers", 540, 630),))
    day = DaySheet("A day", ("Rollers",), (thread,), (Promise("41", "Rollers", 540),), (Rest(540, 550),), now=540)
    assert [line.text for line in in_words(day)] == [
        "Now.",
        "41 is promised the rollers.",
        "41: rollers, until 10:30.",
        "Dinner until 09:10.",
    ]
    assert {(line.minute, line.clock) for line in in_words(day)} == {(540, "09:00")}


def test_a_break_that_two_people_share_is_said_once_and_begins_with_a_capital():
    rests = (Rest(750, 780), Rest(750, 780), Rest(780, 810, "dinner, Jo"))
    told = [line.text for line in in_words(DaySheet("A day", ("Rollers",), (), rests=rests))]
    assert told == ["Dinner until 13:00.", "Dinner, Jo until 13:30."]


def test_a_machine_is_named_in_full_and_doubted_at_its_first_stop_by_time_only():
    assert said(
        Stop("Rollers", 540, 630, "planned", "41 set-up"), Stop("Yard", 510, 525), odds="about 6 in 10 pass"
    ) == [
        "08:30 41 Corrick 185: yard, until 08:45. It may well fail its gate: about 6 in 10 pass.",
        "09:00 41: rollers, set-up, planned, until 10:30.",
    ]


@pytest.mark.parametrize(
    ("words", "told"),
    [("41 gate", "gate, done"), ("410 gate", "410 gate, done"), ("gate 41 ", "gate 41 , done"), ("", "done")],
)
def test_the_machines_own_number_before_its_work_is_not_said_twice(words, told):
    assert said(Stop("Bench 1", 525, 535, "done", words)) == [f"08:45 41 Corrick 185: bench 1, {told}, until 08:55."]


def test_a_stop_without_length_has_no_end():
    assert said(Stop("Collected", 600, 600)) == ["10:00 41 Corrick 185: collected."]
    assert said(Stop("Collected", 600, 601)) == ["10:00 41 Corrick 185: collected, until 10:01."]


def test_of_two_stops_that_begin_together_the_shorter_comes_first():
    assert said(Stop("Rollers", 540, 630), Stop("Bench 1", 540, 550))[0].startswith("09:00 41 Corrick 185: bench 1")


@pytest.mark.parametrize(("count", "machines"), [(0, "0 machines"), (1, "1 machine"), (2, "2 machines")])
def test_the_drawing_is_described_by_its_machines_and_tracks(count, machines):
    threads = tuple(Thread(str(n), str(n), ()) for n in range(count))
    assert described(DaySheet("A day", ("In the yard", "Rollers"), threads)) == (
        f"{machines} as threads over 2 tracks from left to right: In the yard, Rollers. "
        "Everything in it is in the list of the day too."
    )


def test_what_has_ended_by_now_is_over_and_a_day_without_a_now_has_only_its_done_work_over():
    stops = (Stop("Bench 1", 500, 520, "done", "41 gate"), Stop("Rollers", 530, 560, "running", "41 set-up"))
    day = DaySheet(
        "A day",
        ("In the yard", "Bench 1", "Rollers", "Collected"),
        (Thread("41", "41", stops),),
        rests=(Rest(505, 510),),
        now=540,
    )
    over = {line.clock: line.is_over for line in in_words(day)}
    assert over == {"08:20": True, "08:25": True, "08:50": False, "09:00": False}
    assert [line.is_over for line in in_words(replace(day, now=None))] == [True, False, False]
