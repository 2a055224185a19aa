import pytest
from django.utils import timezone

from garage import events
from garage.changes.visit import receiving
from garage.core import states
from garage.core.errors import Refused
from garage.models.visits import TakeIn
from tests.factories import garage as factory

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
