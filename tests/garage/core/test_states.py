"""The states of a visit: what may follow what, and what is said where it may not."""

from __future__ import annotations

import re

import pytest

from garage.core import states
from garage.core.errors import Refused


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_has_its_words_and_its_moves_and_none_follows_itself(state):
    assert states.MAY_FOLLOW[state] <= set(states.WORDS) - {state}


def test_every_state_is_of_one_kind():
    kinds = ({states.HELD}, states.COMING, states.IN_THE_BUILDING, states.OVER)
    assert sorted(state for kind in kinds for state in kind) == sorted(states.WORDS)


def test_a_visit_that_is_over_stays_over_but_one_that_did_not_come_or_lapsed_can_be_booked_again():
    assert {state: states.MAY_FOLLOW[state] for state in states.OVER if states.MAY_FOLLOW[state]} == {
        states.DID_NOT_COME: {states.BOOKED, states.DEPOSIT_AWAITED, states.TO_PUT_RIGHT},
        states.LAPSED: {states.BOOKED, states.DEPOSIT_AWAITED},
    }


def test_nothing_is_collected_before_it_is_ready():
    assert [state for state, then in states.MAY_FOLLOW.items() if states.COLLECTED in then] == [states.READY]


@pytest.mark.parametrize("now", sorted(states.WORDS))
def test_a_move_is_made_where_the_table_has_it_and_refused_in_words_where_it_has_not(now):
    for then in states.WORDS:
        if then in states.MAY_FOLLOW[now]:
            states.check_move(now, then)
        else:
            said = f'This visit is {states.WORDS[now]}: it can\'t become "{states.WORDS[then]}" any more.'
            with pytest.raises(Refused, match=rf"^{re.escape(said)}$"):
                states.check_move(now, then)


def test_work_waits_until_the_machine_is_in_the_building():
    said = {state: states.why_not_here(41, state) for state in states.WORDS}
    assert {state for state, why in said.items() if not why} == states.IN_THE_BUILDING
    assert said[states.COLLECTED] == "Visit 41 is collected: take the machine in first."
