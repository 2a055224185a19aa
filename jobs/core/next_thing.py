"""The next thing to do with a visit, which is the first button on its page."""

from __future__ import annotations

from dataclasses import dataclass

from garage.core import states


@dataclass(frozen=True)
class Progress:
    """How far a visit has got, as input to next_thing. to_pay_is_open: something is still to pay.

    on_rollers: it is booked for the rollers and has not had its session. is_kept_off: it must not run, so the bench
    comes before the gate. session_is_next: what it does next is a session on the rollers that has not begun.
    waits_for_its_owner: it is to be put right first, and its owner is asked how. may_not_know: its owner may not know
    that it must not run.
    """

    state: str
    on_rollers: bool
    waits_for_boss: bool
    rings_first: bool
    gate_passed: bool
    gate_running: bool
    session_is_next: bool
    card_closed: bool
    is_invoiced: bool
    to_pay_is_open: bool
    is_kept_off: bool = False
    waits_for_its_owner: bool = False
    may_not_know: bool = False


WARN, JUDGE, RING, CHOICE, DEPOSIT, GIVE_TIME, TAKE_IN = (
    "warn",
    "judge",
    "ring",
    "choice",
    "deposit",
    "give-time",
    "take-in",
)
GATE, GO_ON_WITH_GATE, ROLLERS, CARD, INVOICE, SAY_READY = (
    "gate",
    "go-on-with-gate",
    "rollers",
    "card",
    "invoice",
    "say-ready",
)
PAYMENT, COLLECTED, NOTHING, CONFIRM = "payment", "collected", "nothing", "confirm"


def next_thing(standing: Progress) -> str:
    """The next thing, by its name above.

    >>> coming = Progress("booked", True, *[False] * 9)
    >>> next_thing(coming)
    'take-in'
    """
    if standing.state in states.OVER:
        return NOTHING
    if standing.state == states.HELD:
        return CONFIRM
    if standing.state in states.COMING:
        return _before_arrival(standing)
    if standing.card_closed:
        return _at_the_desk(standing)
    return _on_the_floor(standing)


def _before_arrival(standing: Progress) -> str:
    if standing.may_not_know:
        return WARN
    if standing.waits_for_boss:
        return JUDGE
    if standing.waits_for_its_owner:
        return RING if standing.rings_first else CHOICE
    if standing.state == states.DEPOSIT_AWAITED:
        return DEPOSIT
    if standing.rings_first:
        return RING
    return GIVE_TIME if standing.state == states.TO_PUT_RIGHT else TAKE_IN


def _on_the_floor(standing: Progress) -> str:
    if standing.gate_running:
        return GO_ON_WITH_GATE
    if standing.is_kept_off:
        return CARD
    if standing.gate_passed and standing.session_is_next and standing.state in _MAY_GO_ON:
        return ROLLERS
    return GATE if standing.on_rollers and not standing.gate_passed and standing.state == states.HERE else CARD


_MAY_GO_ON = frozenset({states.HERE, states.ON_THE_BENCH, states.ON_THE_ROLLERS})


def _at_the_desk(standing: Progress) -> str:
    if not standing.is_invoiced:
        return INVOICE
    if standing.state != states.READY:
        return SAY_READY
    return PAYMENT if standing.to_pay_is_open else COLLECTED
