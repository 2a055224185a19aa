from datetime import timedelta

import pytest
from django.utils import timezone

from garage import events
from garage.changes.visit import receiving
from garage.core import states
from garage.core.errors import Refused
from garage.models.visits import TakeIn, Visit
from tests.factories import garage as factory
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
HOW = {"how_it_came": "trailer", "key_left": True, "came_with": "spare plug", "remarks": "", "stays_overnight": False}


def test_a_machine_taken_in_is_here_and_higher_rooms_hear_of_it() -> None:
    visit, person, heard = factory.visit(), factory.person(), []

    def receiver(visit: object, **_: object) -> None:
        heard.append(visit)

    events.visit_arrived.connect(receiver)
    receiving.take_in(visit, by=person, now=timezone.now(), **HOW)
    visit.refresh_from_db()
    assert (visit.state, heard[0].pk) == (states.HERE, visit.pk)
    assert visit.arrived_at == visit.take_in.at


def test_a_machine_is_taken_in_once() -> None:
    visit, person = factory.visit(), factory.person()
    receiving.take_in(visit, by=person, now=timezone.now(), **HOW)
    with pytest.raises(Refused):
        receiving.take_in(visit, by=person, now=timezone.now(), **HOW)
    assert TakeIn.objects.count() == 1


def test_a_visit_called_off_is_not_taken_in() -> None:
    visit = factory.visit(state=states.CALLED_OFF)
    with pytest.raises(Refused, match="called off"):
        receiving.take_in(visit, by=factory.person(), now=timezone.now(), **HOW)


def test_all_that_is_said_at_the_door_is_kept_and_noted() -> None:
    visit, by, now, heard = factory.visit(), factory.person(), timezone.now(), []

    def receiver(sender: object, visit: Visit, by: object, **_: object) -> None:
        heard.append((sender, visit.state, by))

    said = {
        "how_it_came": "trailer",
        "key_left": True,
        "came_with": "spare plug",
        "remarks": "scratched",
        "stays_overnight": True,
    }
    events.visit_arrived.connect(receiver)
    receiving.take_in(visit, by=by, now=now, **said)
    check_noted("taken in, on a trailer", by=by, at=now, visit=visit)
    assert heard == [(Visit, states.HERE, by)]
    row = TakeIn.objects.get()
    assert {name: getattr(row, name) for name in said} == said
    assert (row.visit, row.by, row.at) == (visit, by, now)
    kept = Visit.objects.get(pk=visit.pk)
    assert (kept.state, kept.arrived_at) == (states.HERE, now)


def test_a_second_taking_in_of_what_is_here_is_refused() -> None:
    visit, by = factory.visit(), factory.person()
    receiving.take_in(visit, by=by, now=timezone.now(), **HOW)
    with refuses(f"Visit {visit.number} has been taken in already; look at its page."):
        receiving.take_in(visit, by=by, now=timezone.now(), **HOW)


def test_a_machine_that_comes_again_for_the_same_visit_is_taken_in_anew() -> None:
    visit, by, now = factory.visit(), factory.person(), timezone.now()
    receiving.take_in(visit, by=by, now=now, **HOW)
    Visit.objects.filter(pk=visit.pk).update(state=states.TO_PUT_RIGHT)
    other, later = factory.person(), now + timedelta(days=3)
    receiving.take_in(visit, by=other, now=later, **HOW | {"how_it_came": "van"})
    row = TakeIn.objects.get()
    assert (row.how_it_came, row.by, row.at) == ("van", other, later)
