import pytest

from garage.core import states
from jobs.core.next_thing import Progress, next_thing

PLAIN = {
    "on_rollers": True,
    "waits_for_boss": False,
    "rings_first": False,
    "gate_passed": False,
    "gate_running": False,
    "session_is_next": False,
    "card_closed": False,
    "is_invoiced": False,
    "to_pay_is_open": False,
}


@pytest.mark.parametrize(
    ("state", "given", "then"),
    [
        (states.BOOKED, {}, "take-in"),
        (states.BOOKED, {"waits_for_boss": True, "rings_first": True}, "judge"),
        (states.BOOKED, {"rings_first": True}, "ring"),
        (states.BOOKED, {"may_not_know": True, "waits_for_boss": True, "rings_first": True}, "warn"),
        (states.TO_PUT_RIGHT, {"may_not_know": True}, "warn"),
        (states.HERE, {"may_not_know": True, "is_kept_off": True}, "card"),
        (states.BOOKED, {"waits_for_its_owner": True}, "choice"),
        (states.BOOKED, {"waits_for_its_owner": True, "rings_first": True}, "ring"),
        (states.BOOKED, {"waits_for_its_owner": True, "waits_for_boss": True}, "judge"),
        (states.DEPOSIT_AWAITED, {"waits_for_its_owner": True}, "choice"),
        (states.HERE, {"waits_for_its_owner": True}, "gate"),
        (states.DEPOSIT_AWAITED, {}, "deposit"),
        (states.TO_PUT_RIGHT, {}, "give-time"),
        (states.HERE, {}, "gate"),
        (states.HERE, {"on_rollers": False}, "card"),
        (states.HERE, {"gate_running": True}, "go-on-with-gate"),
        (states.HERE, {"gate_passed": True}, "card"),
        (states.HERE, {"is_kept_off": True}, "card"),
        (states.HERE, {"is_kept_off": True, "gate_running": True}, "go-on-with-gate"),
        (states.HERE, {"gate_passed": True, "session_is_next": True}, "rollers"),
        (states.ON_THE_ROLLERS, {"gate_passed": True, "session_is_next": True}, "rollers"),
        (states.WAITING_FOR_PARTS, {"gate_passed": True, "session_is_next": True}, "card"),
        (states.HERE, {"session_is_next": True}, "gate"),
        (states.ON_THE_ROLLERS, {"gate_running": True}, "go-on-with-gate"),
        (states.ON_THE_BENCH, {}, "card"),
        (states.ON_THE_ROLLERS, {"gate_passed": True}, "card"),
        (states.HERE, {"card_closed": True}, "invoice"),
        (states.HERE, {"card_closed": True, "is_invoiced": True, "to_pay_is_open": True}, "say-ready"),
        (states.READY, {"card_closed": True, "is_invoiced": True, "to_pay_is_open": True}, "payment"),
        (states.READY, {"card_closed": True, "is_invoiced": True}, "collected"),
        (states.COLLECTED, {"card_closed": True, "is_invoiced": True}, "nothing"),
        (states.CALLED_OFF, {}, "nothing"),
    ],
)
def test_the_next_thing_follows_from_the_progress_of_a_visit(state, given, then):
    assert next_thing(Progress(state=state, **PLAIN | given)) == then


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_has_a_next_thing(state):
    assert next_thing(Progress(state=state, **PLAIN))
