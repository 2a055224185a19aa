"""What the page is made from: the last judgement before arrival, however many visits there are."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from diagnostics.changes import causes, findings, judgements, learning
from diagnostics.models.causes import Cause
from diagnostics.models.sheets import Finding
from diagnostics.pages.learned import bands_of, fault_lines, learned_page
from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> Person:
    garage.shop()
    return garage.boss()


def came(visit: Visit) -> Visit:
    """Its machine is here, after whatever was judged so far."""
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    visit.refresh_from_db()
    return visit


def closed(by: Person, *faults: str, answers: dict | None = None) -> Visit:
    visit = garage.visit()
    if answers:
        answered(visit, answers)
    came(visit)
    for fault in faults:
        causes.confirm(visit, fault=fault, by=by, now=timezone.now())
    learning.card_closed(visit, by=by, now=timezone.now())
    return visit


def test_the_last_judgement_before_arrival_is_scored(by):
    visit = came(answered(garage.visit(), HEALTHY))
    before = latest(visit)
    findings.record(visit, question="rev_out", answer="ceiling", source=Finding.WORKSHOP, by=by, now=timezone.now())
    assert latest(visit).judgement.groups != before.judgement.groups
    learning.card_closed(visit, by=by, now=timezone.now())
    (one,) = closed_visits()
    assert one.judged.route == before.route == "roller-ready"
    assert one.judged.answers["rev_out"] == "clean"
    assert one.judged.groups == before.judgement.groups


def test_the_route_taken_is_the_one_acted_upon_before_arrival(by):
    visit = answered(garage.visit(), FALSE_CEILING)
    judgements.act(latest(visit), by=by, now=timezone.now())
    came(visit)
    findings.record(visit, question="rev_out", answer="clean", source=Finding.WORKSHOP, by=by, now=timezone.now())
    judgements.act_otherwise(latest(visit), by=by, now=timezone.now(), route="do-not-run", why="It pinks at once.")
    learning.card_closed(visit, by=by, now=timezone.now())
    (one,) = closed_visits()
    assert one.taken == "fix-first"
    assert one.roller_minutes == 90  # given back, so as its kind is booked


def test_a_judgement_that_was_set_aside_moves_nothing(by):
    visit = answered(garage.visit(), FALSE_CEILING)
    judgements.leave(latest(visit), by=by, now=timezone.now(), why="The owner brings a coil.")
    learning.card_closed(came(visit), by=by, now=timezone.now())
    (one,) = closed_visits()
    assert (one.taken, one.judged.route) == ("", "fix-first")


def test_it_ran_once_a_roller_step_began_and_a_check_does_not_count(by):
    begun = {"minutes": 10, "at": ROLLER, "began_at": timezone.now()}
    ran, checked = closed(by), closed(by)
    Step.objects.create(visit=ran, index=0, what="set-up", **begun)
    Step.objects.create(visit=checked, index=0, what="gate", is_check=True, **begun)
    assert {one.number: one.ran for one in closed_visits()} == {ran.number: True, checked.number: False}


def test_what_stands_counts_own_words_withdrawn_and_found_good_included(by):
    visit = closed(by, "air-leak")
    causes.withdraw(visit.causes.get(), by=by, now=timezone.now())
    causes.confirm(visit, words="a cracked rubber", by=by, now=timezone.now())
    causes.looked_good(visit, fault="ht-side", by=by, now=timezone.now())
    (one,) = closed_visits()
    assert (one.causes, one.has_own_words) == (frozenset(), True)


def test_the_page_shows_observed_beside_predicted(by):
    closed(by, "spark-module", answers=FALSE_CEILING)
    closed(by, answers=HEALTHY)
    closed(by, "air-leak", "clutch-slip")
    page = learned_page("spoilt", the_shop())
    assert (page.closed, page.scored) == (3, 2)
    assert [(one.route, one.many, one.spoilt) for one in page.routes] == [
        ("roller-ready", 1, 0),
        ("fix-first", 1, 1),
        ("", 1, 1),
    ]
    assert page.not_learned.whys == ()
    assert (page.counts.learned, page.nothing_cards, page.several_cards) == (3, 1, 1)
    assert {line.short: line.cards for line in page.faults}["ignition unit breaks down"] == 1
    assert page.bands == bands_of("spoilt", the_shop())
    assert page.faults == fault_lines(the_shop())
    assert "It takes 20 visits" in page.sentences[0]


def test_the_queries_do_not_grow_with_the_visits(by):
    for _ in range(2):
        closed(by, "air-leak", answers=HEALTHY)
    few = asked()
    for _ in range(4):
        closed(by, "air-leak", answers=FALSE_CEILING)
        closed(by)
    assert asked() == few <= 8  # one for what is left of cards past their time


def test_counting_a_card_again_takes_no_more_queries_for_other_visits(by):
    visit = closed(by)
    few = counted_again(visit)
    for _ in range(4):
        closed(by)
    assert counted_again(visit) == few


def counted_again(visit: Visit) -> int:
    Cause.objects.create(visit=visit, fault="air-leak", at=timezone.now(), by=Person.objects.first())
    with CaptureQueriesContext(connection) as queries:
        learning.count_again(visit, now=timezone.now())
    Cause.objects.all().delete()
    learning.count_again(visit, now=timezone.now())
    return len(queries)


def asked() -> int:
    with CaptureQueriesContext(connection) as queries:
        learned_page("ignition", the_shop())
    return len(queries)


def test_a_garage_without_a_closed_card_has_a_page(by):
    page = learned_page("spoilt", the_shop())
    assert (page.closed, page.counts, page.scores, page.all_groups) == (0, None, (), None)
    assert page.net == 0
