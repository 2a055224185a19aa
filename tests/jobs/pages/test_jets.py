from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models.cards import CardLine
from jobs.pages.jets import plug_asked, smaller_main_jet


def lines(*written):
    """Each a minute after the last, not saved: what, words, before, after."""
    now = timezone.now()
    return [
        CardLine(pk=index, what=what, words=words, before=before, after=after, at=now + timedelta(minutes=index))
        for index, (what, words, before, after) in enumerate(written)
    ]


DOWN, UP = ("jet", "Main jet", "98", "95"), ("jet", "Main jet", "95", "98")
READ = ("reading", "Plug", "", "light brown")


def test_the_plug_is_asked_for_after_a_smaller_main_jet_until_it_is_read():
    assert "read the plug" in plug_asked(lines(DOWN))
    assert plug_asked(lines(DOWN, READ)) == ""
    assert plug_asked(lines(DOWN, ("note", "Plug white at the rim", "", ""))) == ""


def test_a_plug_that_was_read_before_the_jet_counts_for_nothing():
    assert plug_asked(lines(READ, DOWN))


@pytest.mark.parametrize("written", [(), (UP,), (DOWN, UP), (("jet", "Idle jet", "50", "45"),)])
def test_without_a_smaller_main_jet_in_nothing_is_asked(written):
    assert plug_asked(lines(*written)) == ""


def test_what_was_struck_out_counts_for_nothing():
    jet, read = lines(DOWN, READ)
    read.struck_at = timezone.now()
    assert plug_asked([jet, read])
    jet.struck_at = timezone.now()
    assert smaller_main_jet([jet, read]) is None
