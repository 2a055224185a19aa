"""A month of the whole garage at random, from a fixed seed; and that whatever is looked at is seen when it is wrong."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core import mail
from django.db import connection
from django.db.models import F

from garage.core import states
from garage.models.messages import Message
from garage.models.visits import SoldPiece, Step, Visit
from jobs.models.book import Series
from tests.factories.jobs import visit_here
from tests.soak import money
from tests.soak.browser import Broken
from tests.soak.garage import OFTEN, SoakGarage, soaked
from tests.soak.month import PACES, lives

SEED, DAYS = 2, 30
STATES = {states.HELD, states.LAPSED, states.DEPOSIT_AWAITED, states.BOOKED, states.CALLED_OFF, states.TO_PUT_RIGHT}
STATES |= {states.HERE, states.ON_THE_BENCH, states.ON_THE_ROLLERS, states.READY, states.COLLECTED}
DEEDS = {"books_online", "fills_the_sheet", "joins_standby", "answers_what_was_asked", "boss_judges", "desk_phones"}
DEEDS |= {
    "desk_takes_a_deposit",
    "boss_closes_a_card",
    "desk_invoices",
    "desk_is_paid",
    "boss_credits",
    "boss_estimates",
    "chooses_a_language",
    "sends_a_clip",
}
REACHES = frozenset(STATES | DEEDS)

pytestmark = [pytest.mark.django_db, pytest.mark.long(minutes=3)]


def test_a_month_at_random_leaves_nothing_wrong():
    with soaked(SEED, PACES["test"]) as garage:
        try:
            lives(garage, DAYS, REACHES)
        except Exception as error:
            raise AssertionError(garage.told(error)) from error
    assert garage.has_missed(REACHES) == []


@pytest.fixture
def looked_at():
    """A garage of the soak with one visit here, and nothing wrong."""
    with soaked(SEED, PACES["test"]) as garage:
        visit = visit_here()
        garage.watch.after("the beginning")
        garage.watch.looks_at_all()
        yield garage, visit


def _sold_twice(garage: SoakGarage, visit: Visit) -> None:
    """As if the constraint that refuses it were not there."""
    with connection.cursor() as cursor:
        table, name = SoldPiece._meta.db_table, "never_sold_twice"
        if connection.vendor == "postgresql":
            cursor.execute(f"alter table {table} drop constraint {name}")
        else:
            cursor.execute(f"alter table {table} rename to kept")
            cursor.execute(f"create table {table} as select * from kept")  # noqa: S608  # our own name
    for _ in range(2):
        SoldPiece.objects.create(at="bench", place=1, begins_at=garage.now, visit=visit)


def _a_message(garage: SoakGarage, visit: Visit, **values: object) -> Message:
    given = {"visit": visit, "what": "visit_booked", "to": "a@example.org", "subject": "s", "text": "t", "html": "t"}
    return Message.objects.create(**given, written_at=garage.now, due_at=garage.now, **values)


def _sent_twice(garage: SoakGarage, visit: Visit) -> None:
    _a_message(garage, visit)
    garage.sweeps(OFTEN)
    mail.outbox.append(mail.outbox[-1])


def _not_sent(garage: SoakGarage, visit: Visit) -> None:
    _a_message(garage, visit, sent_at=garage.now)


def _written_twice(garage: SoakGarage, visit: Visit) -> None:
    _a_message(garage, visit)
    _a_message(garage, visit)


def _a_payment_not_counted(garage: SoakGarage, visit: Visit) -> None:
    garage.till += Decimal("12.50")


def _two_states(garage: SoakGarage, visit: Visit) -> None:
    Visit.objects.filter(pk=visit.pk).update(called_off_at=garage.now)


def _worked_on_twice(garage: SoakGarage, visit: Visit) -> None:
    for index in (90, 91):
        Step.objects.create(
            visit=visit, index=index, at="bench", minutes=5, what="fix first", began_at=garage.now, station=index
        )


def _time_of_one_that_is_over(garage: SoakGarage, visit: Visit) -> None:
    SoldPiece.objects.create(at="bench", place=3, begins_at=garage.now + timedelta(hours=1), visit=visit)
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF)


SOWN: dict[str, Callable[[SoakGarage, Visit], None]] = {
    "minutes sold twice": _sold_twice,
    "went out twice": _sent_twice,
    "says it was sent and was not": _not_sent,
    "written twice": _written_twice,
    "the till took": _a_payment_not_counted,
    "in two states": _two_states,
    "worked on in two places": _worked_on_twice,
    "is over has time sold to it": _time_of_one_that_is_over,
}


@pytest.mark.parametrize("words", SOWN)
def test_what_is_sown_wrong_is_seen(words, looked_at):
    garage, visit = looked_at
    SOWN[words](garage, visit)
    with pytest.raises(Broken, match=words):
        garage.watch.looks_at_all()


def test_a_state_that_may_not_follow_is_seen(looked_at):
    garage, visit = looked_at
    Visit.objects.filter(pk=visit.pk).update(state=states.HELD)
    with pytest.raises(Broken, match="was here and is held"):
        garage.watch.after("a step")


def test_a_machine_that_must_not_run_is_seen_on_the_rollers(looked_at):
    garage, visit = looked_at
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It leaks."])
    Step.objects.create(visit=visit, index=90, at="roller", minutes=5, what="set-up", began_at=garage.now)
    with pytest.raises(Broken, match="runs on the rollers and must not"):
        garage.watch.after("a step")


def test_a_book_that_shows_another_sum_is_seen(looked_at):
    garage, _ = looked_at
    garage.watch.looks_at_pages()
    garage.till += 1
    with pytest.raises(Broken, match="the book shows"):
        garage.watch.looks_at_pages()


def test_a_skipped_number_of_an_invoice_is_seen(looked_at):
    garage, _ = looked_at
    while not money.desk_sells_over_the_counter(garage):
        pass
    Series.objects.update(last=F("last") + 1)
    while not money.desk_sells_over_the_counter(garage):
        pass
    with pytest.raises(Broken, match="gaps in the numbers of invoices"):
        garage.watch.looks_at_all()
