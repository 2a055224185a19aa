"""A full day is drawn from an hour before now on."""

from dataclasses import replace

import pytest

from garage.core.drawing.sheet import DaySheet, Promise, Rest, Stop, Thread
from garage.core.drawing.threads import draw
from garage.core.drawing.window import rest_of_day
from tests.garage.core.sheet_drawing import twelve_machines

TRACKS = ("In the yard", "Bench 1", "Collected")


def day(*stops: Stop, **given: object) -> DaySheet:
    values = {"title": "A day", "tracks": TRACKS, "threads": (Thread("41", "41 CX", stops),), "opens": 480}
    return DaySheet(**values | given)


@pytest.mark.parametrize(("now", "since"), [(480, 480), (599, 480), (600, 540), (659, 540), (660, 600), (1440, 1380)])
def test_it_begins_with_the_whole_hour_that_is_an_hour_before_now(now, since):
    assert rest_of_day(day(), now).opens == since


def test_what_was_over_is_gone_and_what_lasts_begins_with_it():
    gone, lasts, ahead = Stop("Bench 1", 480, 540), Stop("Bench 1", 500, 541), Stop("Bench 1", 700, 720)
    (thread,) = rest_of_day(day(gone, lasts, ahead), now=600).threads
    assert [(stop.begin, stop.end) for stop in thread.stops] == [(540, 541), (700, 720)]
    assert rest_of_day(day(gone), now=600).threads == ()


def test_promises_and_breaks_before_it_are_gone():
    sheet = day(
        promises=(Promise("41", "Bench 1", 539), Promise("42", "Bench 1", 540)),
        rests=(Rest(500, 540), Rest(530, 550)),
    )
    rest = rest_of_day(sheet, now=600)
    assert [promise.number for promise in rest.promises] == ["42"]
    assert rest.rests == (Rest(540, 550),)


def test_a_full_day_is_lower_and_wider_in_the_afternoon():
    whole = replace(twelve_machines(), now=840)
    rest = rest_of_day(whole, now=840)
    assert draw(rest).height < draw(whole).height
    hours = [label.text for label in draw(rest).labels if label.kind == "hour"]
    assert hours[0] == "13"
