"""A smaller main jet: the gate and a pull that held come first, whoever says so."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.core.errors import BadInput, Refused
from jobs.changes import cards, runs
from jobs.models.cards import CardLine
from tests.factories import jobs
from tests.factories import runs as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    """Past the gate, on the rollers since."""
    visit = jobs.card().visit
    visit.gate_passed_at = visit.gate_at_bench_passed_at = timezone.now()
    visit.save()
    visit.steps.create(index=0, at="roller", minutes=90, what="set-up", station=1, began_at=timezone.now())
    return visit


@pytest.fixture
def by(visit):
    return visit.card.opened_by


def jet(visit, by, *, before="98", after="95", words="Main jet", pulled_clean=False):
    given = {"words": words, "before": before, "after": after, "pulled_clean": pulled_clean}
    return cards.change_of_jet(visit, **given, by=by, now=timezone.now())


def test_a_run_that_held_opens_it_and_one_that_broke_down_shuts_it_whatever_the_word(visit, by):
    made.run(visit, by=by, pulled_clean=True)
    jet(visit, by)
    later = made.run(visit, by=by, fitted={"main_jet": "95"}, pulled_clean=False)
    with pytest.raises(Refused, match="no run at working load yet that did not break down"):
        jet(visit, by, before="95", after="92", pulled_clean=True)
    runs.strike(later, by=by, now=timezone.now())
    jet(visit, by, before="95", after="92")


def test_a_run_of_which_nobody_said_is_not_enough(visit, by):
    made.run(visit, by=by)
    with pytest.raises(Refused, match="no run at working load"):
        jet(visit, by)


def test_a_run_of_another_visit_does_not_count(visit, by):
    earlier = jobs.visit_here(machine=visit.machine, owner=visit.owner)
    made.run(earlier, by=by, pulled_clean=True)
    with pytest.raises(Refused, match=f"Visit {visit.number} has no run at working load"):
        jet(visit, by)


def test_without_a_file_the_word_counts_once_the_session_has_begun(visit, by):
    assert jet(visit, by, pulled_clean=True).after == "95"
    visit.steps.update(began_at=None)
    with pytest.raises(Refused, match="no run at working load"):
        jet(visit, by, before="95", after="92", pulled_clean=True)


def test_what_is_known_to_be_in_is_filled_in_and_compared(visit, by):
    made.run(visit, by=by, fitted={"main_jet": "98"})
    with pytest.raises(Refused, match="no run at working load"):
        jet(visit, by, before="")
    assert jet(visit, by, before="", after="100").before == "98"
    with pytest.raises(Refused, match="no run at working load"):
        jet(visit, by, before="", after="98")


def test_of_a_machine_that_nothing_is_known_of_the_jet_that_comes_out_is_asked_for(visit, by):
    with pytest.raises(BadInput, match="Main jet taken out is missing; allowed is its size"):
        jet(visit, by, before="")
    assert not CardLine.objects.exists()


@pytest.mark.parametrize("words", ["Idle jet", "Needle"])
def test_other_jets_are_not_asked_about(visit, by, words):
    assert jet(visit, by, words=words)


def test_a_jet_that_only_comes_out_is_no_smaller_one(visit, by):
    assert jet(visit, by, after="").before == "98"
