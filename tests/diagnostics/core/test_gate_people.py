"""Who may do what at a gate: common practice of the house, no source."""

import pytest

from diagnostics.core.gate_list import ITEMS
from diagnostics.core.gate_people import (
    LEAST_REASON,
    MOST_REASON,
    NEVER_OVERRIDDEN,
    GatePerson,
    check_second_person,
    checked_override,
    failed_for_good,
    why_no_override,
)
from garage.core.errors import BadInput
from tests.sentences import refuses

BOSS, MECHANIC = GatePerson(7, "Jo Dacre", may_override=True), GatePerson(8, "Kim Fell", may_override=False)
REASON = "Worn to the marks, sound for one low-speed run."


@pytest.mark.parametrize("item", [item.id for item in ITEMS])
def test_the_lines_that_nobody_overrides_are_named_if_they_failed(item):
    bad = next(line.bad for line in ITEMS if line.id == item)
    assert failed_for_good({item: "bad"}) == ((bad,) if item in NEVER_OVERRIDDEN else ())
    assert failed_for_good({item: "ok"}) == failed_for_good({item: "na"}) == ()


def test_every_line_that_nobody_overrides_is_on_the_list():
    assert {item.id for item in ITEMS} >= NEVER_OVERRIDDEN
    assert failed_for_good(dict.fromkeys(NEVER_OVERRIDDEN, "bad")) == tuple(
        item.bad for item in ITEMS if item.id in NEVER_OVERRIDDEN
    )


def test_the_second_person_is_somebody_else():
    check_second_person(MECHANIC, {BOSS.id})
    allowed = "allowed is one of the shop's people, and not who runs the gate."
    with refuses(f"Second person within call is missing; {allowed}", BadInput):
        check_second_person(None, {BOSS.id})
    for ran_it in ({MECHANIC.id}, {BOSS.id, MECHANIC.id}):
        with refuses(f"Second person within call is Kim Fell, who runs the gate; {allowed}", BadInput):
            check_second_person(MECHANIC, ran_it)


def test_only_the_boss_overrides_and_not_their_own_gate():
    assert why_no_override(BOSS, {MECHANIC.id}) == ""
    assert why_no_override(MECHANIC, {BOSS.id}).startswith("Only the boss")
    assert why_no_override(BOSS, {MECHANIC.id, BOSS.id}) == (
        "Jo Dacre ran this gate, so another person who may has to let it pass. Otherwise put it right and do the gate "
        "again."
    )
    for person, ran_it in ((MECHANIC, {BOSS.id}), (BOSS, {BOSS.id})):
        with refuses(why_no_override(person, ran_it)):
            checked_override(person, ran_it, REASON)


def test_an_override_is_kept_with_a_reason_of_some_length():
    assert checked_override(BOSS, {8}, f"  {REASON}\n ") == REASON
    for kept in ("x" * LEAST_REASON, "x" * MOST_REASON):
        assert checked_override(BOSS, {8}, kept) == kept
    for reason, found in (
        ("", "is missing"),
        (" " * 40, "is missing"),
        ("x" * (LEAST_REASON - 1), "is 19 characters"),
        ("x" * (MOST_REASON + 1), "is 201 characters"),
        ("o          k a", "is 5 characters"),
    ):
        allowed = "allowed is why it may go on the rollers all the same, in 20 to 200 letters."
        with refuses(f"The reason {found}; {allowed}", BadInput):
            checked_override(BOSS, {8}, reason)
