"""A visit is a come-back of an earlier one; the standing rule of learning follows from closing its card."""

from __future__ import annotations

import pytest
from django.utils import timezone

from diagnostics.changes import causes, learning, returning
from diagnostics.models.returning import ReturningVisit
from diagnostics.reads.learning import counts_now
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.visits import Visit
from jobs.changes import cards, closing
from tests.factories import garage, jobs
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db
FAULT = "spark-module"


@pytest.fixture
def by():
    return garage.person()


@pytest.fixture
def earlier(by):
    card = jobs.closed_card()
    causes.confirm(card.visit, fault=FAULT, by=by, now=timezone.now())
    learning.card_closed(card.visit, by=by, now=timezone.now())
    return card.visit


@pytest.fixture
def visit(earlier):
    return garage.visit(machine=earlier.machine, state=states.HERE, arrived_at=timezone.now())


def comes_back(visit, earlier, by):
    return returning.comes_back(visit, earlier=earlier, by=by, now=timezone.now())


def closed(visit, by, *, again):
    if not visit.causes.exists():
        cards.found_cause(visit, fault=FAULT, words="", by=by, now=timezone.now())
    return closing.close_with_causes(visit, was_it_again=again, by=by, now=timezone.now())


def test_a_visit_names_the_earlier_one_and_is_not_charged(visit, earlier, by):
    now = timezone.now()
    row = returning.comes_back(visit, earlier=earlier, by=by, now=now)
    assert (row.visit, row.earlier, row.charged_why, row.was_it_again) == (visit, earlier, "", None)
    check_noted(f"a come-back of visit {earlier.number}: not charged", by=by, at=now, visit=visit)
    with pytest.raises(Refused, match="is a come-back of visit"):
        comes_back(visit, earlier, by)


def test_only_an_earlier_visit_of_the_machine_with_a_closed_card_can_be_named(visit, earlier, by):
    stranger, unfinished = jobs.closed_card().visit, garage.visit(machine=visit.machine)
    learning.card_closed(stranger, by=by, now=timezone.now())
    for other in (stranger, unfinished, visit):
        with pytest.raises(Refused, match="no earlier visit of this machine with a closed card"):
            comes_back(visit, other, by)
    assert not ReturningVisit.objects.exists()


@pytest.mark.parametrize("state", [states.CALLED_OFF, states.DID_NOT_COME])
def test_what_does_not_come_is_no_come_back(visit, earlier, by, state):
    Visit.objects.filter(pk=visit.pk).update(state=state)
    with pytest.raises(Refused, match="it is no come-back"):
        comes_back(visit, earlier, by)


def test_it_is_taken_back_until_the_card_is_closed(visit, earlier, by):
    comes_back(visit, earlier, by)
    returning.does_not_come_back(visit, by=by, now=timezone.now())
    with pytest.raises(Refused, match="is not a come-back"):
        returning.does_not_come_back(visit, by=by, now=timezone.now())
    comes_back(visit, earlier, by)
    closed(visit, by, again=False)
    with pytest.raises(Refused, match="is closed"):
        returning.does_not_come_back(visit, by=by, now=timezone.now())


def test_closing_asks_and_a_yes_marks_the_earlier_card_as_the_standing_rule_does(visit, earlier, by):
    comes_back(visit, earlier, by)
    with pytest.raises(Refused, match="say whether it was the same trouble again"):
        closed(visit, by, again=None)
    assert counts_now().times[FAULT] == 1
    closed(visit, by, again=True)
    assert earlier.closing.come_backs.filter(withdrawn_at=None).exists()
    assert (counts_now().times[FAULT], counts_now().not_learned) == (1, 1)  # the card of now counts, that of then not
    assert ReturningVisit.objects.get().was_it_again is True


def test_a_no_leaves_the_earlier_card_as_it_is(visit, earlier, by):
    comes_back(visit, earlier, by)
    closed(visit, by, again=False)
    assert not earlier.closing.come_backs.exists()
    assert counts_now().times[FAULT] == 2


def test_a_card_marked_by_hand_before_is_not_marked_twice_and_closed_again_with_a_no_the_mark_goes(visit, earlier, by):
    boss = garage.boss()
    comes_back(visit, earlier, by)
    learning.came_back(earlier, by=by, now=timezone.now())
    closed(visit, by, again=True)
    assert earlier.closing.come_backs.count() == 1
    closing.reopen(visit, reason="Wrong cause.", by=boss, now=timezone.now())
    closed(visit, by, again=False)
    assert not earlier.closing.come_backs.filter(withdrawn_at=None).exists()


def test_a_visit_that_is_no_come_back_is_closed_without_the_question(visit, by):
    assert closed(visit, by, again=None).closed_at


def test_charged_after_all_needs_a_reason(visit, earlier, by):
    comes_back(visit, earlier, by)
    for why in ("  ", "x" * 201):
        with pytest.raises(BadInput):
            returning.is_charged(visit, why=why, by=by, now=timezone.now())
    returning.is_charged(visit, why=" Crashed in between. ", by=by, now=timezone.now())
    assert ReturningVisit.objects.get().charged_why == "Crashed in between."
    returning.is_not_charged(visit, by=by, now=timezone.now())
    assert ReturningVisit.objects.get().charged_why == ""
