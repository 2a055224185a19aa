"""What a person says of a machine by hand: where it is, what it waits for, ready, collected."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.visit import floor
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_states_follow_the_table_and_leave_a_trail(visit):
    by = garage.person()
    with pytest.raises(Refused):
        floor.say(visit, states.WAITING_FOR_PARTS, by=by, now=timezone.now())
    waiting = floor.say(booking.arrived(visit), states.WAITING_FOR_PARTS, by=by, now=timezone.now())
    assert waiting.state == states.WAITING_FOR_PARTS
    assert TrailRow.objects.filter(visit=visit, did="now waiting for parts", by=by).exists()


@pytest.mark.parametrize("state", sorted(floor.SAID))
def test_each_state_that_can_be_said_has_its_change(visit, state):
    booking.arrived(visit)
    then = states.ON_THE_BENCH if state == states.HERE else states.HERE
    Visit.objects.filter(pk=visit.pk).update(state=then, gate_passed_at=timezone.now())
    said = floor.say(visit, state, by=garage.person(), now=timezone.now())
    assert said.state == Visit.objects.get().state == state


@pytest.mark.parametrize("state", sorted(floor.SAID))
@pytest.mark.parametrize("coming", sorted(states.COMING))
def test_nothing_but_take_in_brings_a_machine_in(visit, state, coming):
    Visit.objects.filter(pk=visit.pk).update(state=coming)
    with pytest.raises(Refused):
        floor.say(visit, state, by=garage.person(), now=timezone.now())
    assert Visit.objects.get().state == coming


@pytest.mark.parametrize("state", [*sorted(states.WORDS.keys() - floor.SAID.keys() - {states.CALLED_OFF}), "nonsense"])
def test_a_state_with_a_button_of_its_own_is_not_said_here(visit, state):
    with pytest.raises(BadInput, match="one of the states on the page"):
        floor.say(booking.arrived(visit), state, by=garage.person(), now=timezone.now())
    assert Visit.objects.get().state == states.HERE


def test_ready_tells_the_owner_and_frees_what_is_still_ahead(visit):
    ready = floor.say(booking.arrived(visit), states.READY, by=garage.person(), now=timezone.now())
    assert (ready.state, ready.pieces.count()) == (states.READY, 0)
    assert ready.starts_at is not None
    assert Message.objects.filter(visit=visit, what="ready_to_collect").count() == 1


def test_only_a_ready_machine_can_be_collected(visit):
    by = garage.person()
    with pytest.raises(Refused):
        floor.collected(booking.arrived(visit), by=by, now=timezone.now())
    floor.made_ready(visit, by=by, now=timezone.now())
    assert floor.collected(visit, by=by, now=timezone.now()).collected_at is not None


def test_calling_off_is_more_than_a_change_of_state(visit):
    with pytest.raises(Refused, match="needs a reason"):
        floor.say(visit, states.CALLED_OFF, by=garage.person(), now=timezone.now())


@pytest.mark.parametrize("state", sorted(floor.SAID))
def test_what_is_said_of_a_machine_is_noted_with_who_and_when(visit, state):
    by, now = garage.person(), timezone.now()
    before = states.ON_THE_BENCH if state == states.HERE else states.HERE
    Visit.objects.update(state=before, gate_passed_at=now)
    floor.say(visit, state, by=by, now=now)
    check_noted(f"now {states.WORDS[state]}", by=by, at=now, visit=visit)


def test_ready_and_collected_are_kept_with_their_times(visit, start):
    by, now = garage.person(), timezone.now()
    Visit.objects.update(state=states.HERE)
    ready_at = start + timedelta(minutes=10)
    floor.made_ready(visit, by=by, now=ready_at)
    assert Message.objects.get(what="ready_to_collect").written_at == ready_at
    assert visit.pieces.count() == 3  # of 18: those that begin at 0, 5 and 10 minutes
    check_noted("now ready to collect", by=by, at=ready_at, visit=visit)
    floor.collected(visit, by=by, now=now)
    check_noted("now collected", by=by, at=now, visit=visit)
    row = Visit.objects.get()
    assert (row.state, row.ready_at, row.collected_at) == (states.COLLECTED, ready_at, now)
    assert (row.starts_at, row.pieces.count()) == (start, 0)


def test_what_cannot_be_said_here_is_refused_in_a_sentence(visit):
    by, now = garage.person(), timezone.now()
    with refuses("Calling a visit off needs a reason: use its own page for that."):
        floor.say(visit, states.CALLED_OFF, by=by, now=now)
    with refuses("state is 'broken'; allowed is one of the states on the page.", BadInput):
        floor.say(visit, "broken", by=by, now=now)
    with refuses('This visit is booked: it can\'t become "waiting for parts" any more.'):
        floor.say(visit, states.WAITING_FOR_PARTS, by=by, now=now)
